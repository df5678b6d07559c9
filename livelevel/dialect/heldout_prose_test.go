package dialect

import "fmt"

// played is a feed of a board nobody here has seen: how it prints, and what its columns are.
type played struct {
	name  string
	roles string // what has to be found, every one; nothing else may be
	may   string // what may be found too: nobody could tell it from that
	line  func(w plant) string
	scene scene
	head  string // what comes first
	asks  bool   // nobody could know: asking is right, and a wrong guess is not
}

var f = fmt.Sprintf

// inWords are lines as a person would write them, in several languages.
var inWords = []played{
	{name: "water-gap", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Water gap %s cm, tank %.0f%% full, motor %s", w.cm("-1.0"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "to-water", roles: "level-percent ullage pump", line: func(w plant) string {
		return f("Tank level: %.0f %% (%s cm to water) pump=%s", w.percent, w.cm("0.0"), w.motor("on", "off"))
	}},
	{name: "air-gap", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Air gap = %s mm ; Fill = %.0f pct ; Relay = %s", w.mm("9999"), w.percent, w.motor("CLOSED", "OPEN"))
	}},
	{name: "holds", roles: "ullage volume pump", line: func(w plant) string {
		return f("Sensor reads %s m. Tank holds %.0f L. Motor is %s.", w.m("0.000"), w.litres, w.motor("running", "stopped"))
	}},
	{name: "range-in-brackets", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Range(cm)=%s Fill(%%)=%.0f Pump=%d", w.cm("0.0"), w.percent, w.bit())
	}},
	{name: "depth", roles: "level pump", may: "time uptime", scene: scene{deaf: -1}, line: func(w plant) string {
		return f("[%s] Depth of water %.3f m, pump %s", w.hms(), w.height, w.motor("active", "idle"))
	}},
	{name: "upper-case", roles: "ullage level-percent supply", line: func(w plant) string {
		return f("DISTANCE %s CM LEVEL %.1f PERCENT SUPPLY %.2f V", w.cm("---"), w.percent, w.volts)
	}},
	{name: "no-echo-words", roles: "ullage level-percent pump", line: func(w plant) string {
		if w.lost {
			return f("Distance: no echo  Level: %.0f %%  Motor: %s", w.percent, w.motor("ON", "OFF"))
		}
		return f("Distance: %.1f cm  Level: %.0f %%  Motor: %s", w.ullage*100, w.percent, w.motor("ON", "OFF"))
	}},
	{name: "line-instead", roles: "ullage pump", line: func(w plant) string {
		if w.lost {
			return "Sensor timeout"
		}
		return f("Distance to surface: %.1f cm, valve %s", w.ullage*100, w.motor("open", "shut"))
	}},
	{name: "pipes", roles: "ullage level-percent temperature pump", line: func(w plant) string {
		return f("| dist %5s mm | lvl %5.1f %% | temp %4.1f C | pump %-3s |", w.mm("-"), w.percent, w.temp, w.motor("on", "off"))
	}},
	{name: "feet", roles: "ullage level-percent", line: func(w plant) string {
		return f("Distance: %s ft, Full: %.0f%%", w.ft("-1.00"), w.percent)
	}},
	{name: "inches-percent", roles: "ullage level-percent pump", scene: scene{face: 2.4}, line: func(w plant) string {
		return f(`Dist %s" Lvl %.1f%% Pump %s`, w.in("0.0"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "inch-word", roles: "ullage pump", line: func(w plant) string {
		return f("distance: %s in. relay: %s", w.in("99.9"), w.motor("energised", "released"))
	}},
	{name: "echo-time", roles: "echo temperature pump", line: func(w plant) string {
		return f("Echo time %s us, air %.1f degC, pump %s", w.us("0"), w.temp, w.motor("ON", "OFF"))
	}},
	{name: "flight", roles: "echo", line: func(w plant) string { return f("time of flight: %s µs", w.us("0")) }},
	{name: "pulse", roles: "echo pump", line: func(w plant) string { return f("pulse=%s us  M=%s", w.us("-1"), w.motor("1", "0")) }},
	{name: "max-range", roles: "ullage level-percent", line: func(w plant) string {
		return f("measured %s cm -> %.0f %%", w.cm("500.0"), w.percent)
	}},
	{name: "with-marks", roles: "ullage level-percent pump full-mark empty-mark", line: func(w plant) string {
		return f("dist %s cm full %.0f cm empty %.0f cm level %.0f %% motor %s", w.cm("0.0"), w.full*100, w.empty*100, w.percent, w.motor("ON", "OFF"))
	}},
	{name: "set-points", roles: "level-percent pump low-set full-set ullage", line: func(w plant) string {
		return f("Level %.0f %% start %d %% stop %d %% pump %s gap %s mm", w.percent, w.low, w.high, w.motor("ON", "OFF"), w.mm("0"))
	}},
	{name: "quiet-tank", roles: "ullage level-percent pump", scene: scene{quiet: true}, line: func(w plant) string {
		return f("Distance %s mm, level %.1f %%, pump %s", w.mm("0"), w.percent, w.motor("on", "off"))
	}},
	{name: "auto-mode", roles: "ullage level-percent mode pump", line: func(w plant) string {
		return f("Mode: %s Dist: %scm Level: %.0f%% Motor: %s", w.say(w.auto, "AUTO", "MANUAL"), w.cm("0.0"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "rule", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("-----------------\nDistance : %s cm\nLevel    : %.0f %%\nMotor    : %s", w.cm("0.0"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "blank-between", roles: "ullage volume temperature", line: func(w plant) string {
		return f("distance %s mm\nvolume %.0f l\ntemperature %.1f C\n", w.mm("-1"), w.litres, w.temp)
	}},
	{name: "report-number", roles: "ullage level-percent pump supply", line: func(w plant) string {
		return f("=== Report %d ===\nUllage: %s m\nLevel: %.1f %%\nPump: %s\nSupply: %.2f V", w.i+1, w.m("nan"), w.percent, w.motor("ON", "OFF"), w.volts)
	}},
	{name: "stars", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("*** MEASUREMENT ***\n  Dist [cm]: %s\n  Level [%%]: %.0f\n  Pump: %d\n*******************", w.cm("0.0"), w.percent, w.bit())
	}},
	{name: "german", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Abstand: %s cm  Füllstand: %.0f %%  Pumpe: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("EIN", "AUS"))
	}},
	{name: "german-latin", roles: "ullage level-percent pump temperature", line: func(w plant) string {
		return f("Entfernung %s mm, F\xfcllh\xf6he %s %%, Pumpe %s, Temp. %s \xb0C", w.mm("-1"), decimalComma(f("%.1f", w.percent)), w.motor("an", "aus"), decimalComma(f("%.1f", w.temp)))
	}},
	{name: "german-air", roles: "ullage level volume pump", line: func(w plant) string {
		return f("Luftraum=%s mm Wasserstand=%.0f mm Inhalt=%.0f Liter Motor=%s", w.mm("kein Echo"), w.height*1000, w.litres, w.motor("läuft", "steht"))
	}},
	{name: "german-log", roles: "ullage level-percent pump supply", line: func(w plant) string {
		return f("Messung %d: Abstand %s cm, Pegel %.0f %%, Relais %s, Spannung %s V", w.i, decimalComma(w.cm("0.0")), w.percent, w.motor("ein", "aus"), decimalComma(f("%.2f", w.volts)))
	}},
	{name: "spanish", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Distancia: %s cm | Nivel: %.0f %% | Bomba: %s", w.cm("0.0"), w.percent, w.motor("ENCENDIDA", "APAGADA"))
	}},
	{name: "spanish-words", roles: "ullage volume temperature pump", line: func(w plant) string {
		return f("Distancia al agua %s mm; volumen %.0f L; temperatura %s C; bomba %s", w.mm("fuera de rango"), w.litres, decimalComma(f("%.1f", w.temp)), w.motor("marcha", "paro"))
	}},
	{name: "french", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Distance : %s cm ; Niveau : %s %% ; Pompe : %s", decimalComma(w.cm("0.0")), decimalComma(f("%.1f", w.percent)), w.motor("MARCHE", "ARRÊT"))
	}},
	{name: "french-height", roles: "level volume pump supply", scene: scene{deaf: -1}, line: func(w plant) string {
		return f("Hauteur d'eau %s m, volume %.0f litres, pompe %s, alim %s V", decimalComma(f("%.3f", w.height)), w.litres, w.motor("en marche", "arrêtée"), decimalComma(f("%.2f", w.volts)))
	}},
	{name: "portuguese", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Distância: %s cm, Nível: %.0f%%, Bomba: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("LIGADA", "DESLIGADA"))
	}},
	{name: "portuguese-kv", roles: "ullage level-percent pump temperature", line: func(w plant) string {
		return f("distancia=%smm nivel=%.1f%% bomba=%s temperatura=%.1fC", w.mm("-1"), w.percent, w.motor("ligado", "desligado"), w.temp)
	}},
	{name: "italian", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Distanza: %s cm - Livello: %.0f %% - Pompa: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("ACCESA", "SPENTA"))
	}},
	{name: "italian-volume", roles: "ullage volume supply", line: func(w plant) string {
		return f("distanza %s mm volume %.0f l tensione %.2f V", w.mm("nessun eco"), w.litres, w.volts)
	}},
	{name: "dutch", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Afstand: %s cm, Niveau: %.0f %%, Pomp: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("AAN", "UIT"))
	}},
	{name: "dutch-height", roles: "level-percent volume pump temperature", scene: scene{deaf: -1}, line: func(w plant) string {
		return f("Vulling %.1f %% Inhoud %.0f liter Pomp %s Temperatuur %.1f C", w.percent, w.litres, w.motor("aan", "uit"), w.temp)
	}},
	{name: "swedish", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Avstånd: %s cm Nivå: %.0f %% Pump: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("PÅ", "AV"))
	}},
	{name: "danish", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Afstand %s mm, niveau %.0f %%, pumpe %s", w.mm("-1"), w.percent, w.motor("tændt", "slukket"))
	}},
	{name: "polish", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Odległość: %s cm, Poziom: %.0f %%, Pompa: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("WŁ", "WYŁ"))
	}},
	{name: "turkish", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Mesafe: %s cm Seviye: %.0f %% Pompa: %s", w.cm("0.0"), w.percent, w.motor("AÇIK", "KAPALI"))
	}},
	{name: "czech", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Vzdálenost: %s cm; Hladina: %.0f %%; Čerpadlo: %s", decimalComma(w.cm("0.0")), w.percent, w.motor("ZAP", "VYP"))
	}},
	{name: "glued-letters", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("D%s L%.0f P%d", w.mm("0"), w.percent, w.bit())
	}},
	{name: "glued-units", roles: "ullage level-percent pump temperature", line: func(w plant) string {
		return f("US:%smm F:%.0f%% R%d T%.1fC", w.mm("0"), w.percent, w.bit(), w.temp)
	}},
	{name: "metres-long-tank", roles: "ullage level-percent", scene: scene{face: 6}, line: func(w plant) string {
		return f("ullage %s m level %.1f %%", w.m("99.999"), w.percent)
	}},
	{name: "small-box", roles: "ullage level-percent pump", scene: scene{face: 0.45}, line: func(w plant) string {
		return f("dist: %s cm lev: %.0f%% pmp: %s", w.cm("0.0"), w.percent, w.motor("on", "off"))
	}},
	{name: "with-raw", roles: "ullage ullage-raw level-percent pump", line: func(w plant) string {
		return f("raw %s cm filtered %s cm level %.0f %% pump %s", w.cm("0.0"), w.cm("0.0"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "current", roles: "level-percent motor-current pump ullage", line: func(w plant) string {
		return f("Lvl %.1f%% Motor %s %.2f A Dist %s cm", w.percent, w.motor("ON", "OFF"), w.amps, w.cm("0.0"))
	}},
	{name: "wifi", roles: "ullage level-percent", line: func(w plant) string {
		return f("Distance: %s cm, Level: %.1f %%, RSSI: -%d dBm, Heap: %d", w.cm("0.0"), w.percent, w.signal, 231000+w.signal*16)
	}},
	{name: "arrow", roles: "ullage level-percent pump", scene: scene{step: 2}, line: func(w plant) string {
		return f("#%05d >> %s mm >> %.0f%% >> PUMP_%s", w.i, w.mm("0"), w.percent, w.motor("ON", "OFF"))
	}},
}

func (w plant) bit() int {
	if w.pump {
		return 1
	}
	return 0
}
