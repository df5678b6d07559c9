package dialect

import "math"

// inLands are feeds in which a column is easily taken for its neighbour: a height beside its own complement, a
// second tank, a valve that is open when it fills, a count of the lines.
var inLands = []played{
	{name: "height-in-metres", roles: "uptime ullage level pump temperature", head: "tempo_s,distanza,livello,pompa,temperatura", line: func(w plant) string {
		return f("%.0f,%s,%.3f,%d,%.1f", w.s, w.m("0.000"), w.height, w.bit(), w.temp)
	}},
	{name: "two-tanks", roles: "ullage level-percent pump", line: func(w plant) string {
		other := 90 + 10*math.Sin(float64(w.i)/70)
		return f("dist1=%scm liv1=%.0f%% dist2=%.1fcm liv2=%.0f%% pompa=%s", w.cm("0.0"), w.percent, other, (170-other)/1.35, w.motor("ON", "OFF"))
	}},
	{name: "open-fills", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Range %s in, Full %.0f %%, Valve %s", w.in("0.0"), w.percent, w.motor("OPEN", "CLOSED"))
	}},
	{name: "alim", roles: "uptime ullage level-percent pump supply", may: "echo-quality", line: func(w plant) string {
		return f(`{"up":%.0f,"distance_mm":%s,"niveau":%.1f,"pompe":%t,"alim":%.2f,"rssi":%d}`, w.s, w.mm("-1"), w.percent, w.pump, w.volts, w.signal)
	}},
	{name: "mesafe", roles: "ullage level-percent pump temperature humidity", line: func(w plant) string {
		return f("mesafe=%smm doluluk=%.0f%% pompa=%d sicaklik=%.1f nem=%.0f", w.mm("0"), w.percent, w.bit(), w.temp, w.humid)
	}},
	{name: "percent-ahead", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("Mesafe: %s cm  Seviye: %%%.0f  Pompa: %s", w.cm("-1.0"), w.percent, w.motor("AÇIK", "KAPALI"))
	}},
	{name: "line-numbers", roles: "ullage level-percent pump", scene: scene{step: 0.2}, line: func(w plant) string {
		return f("#%05d dist %s level %.0f pump %d starts %d", w.i, w.cm("0.0"), w.percent, w.bit(), w.i/100)
	}},
	{name: "target", roles: "ullage level-percent pump", may: "full-set", line: func(w plant) string {
		return f("level=%.1f%% target=95.0%% distance=%scm pump=%s", w.percent, w.cm("0.0"), w.motor("on", "off"))
	}},
	{name: "water-and-air", roles: "ullage level temperature pump", line: func(w plant) string {
		return f("sonar %scm water %.1fcm air %.1fC watertemp %.1fC pump %s", w.cm("0.0"), w.height*100, w.temp, 17+w.temp/50, w.motor("on", "off"))
	}},
}
