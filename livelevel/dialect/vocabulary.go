package dialect

import (
	"strings"
	"unicode"

	"example.org/tankhand/livelevel"
)

// vocabulary is the words by which labels tell a role, folded, in English, German, Spanish, French, Polish,
// Portuguese, Italian, Dutch and Turkish: the strong ones, a bar, the weak ones (common usage, no source).
var vocabulary = map[livelevel.Role]string{
	livelevel.Ullage: "distance dist distanz abstand distancia distanza distancja odleglosc afstand entfernung ullage freeboard leerraum luftraum " +
		"wasserabstand sensorabstand distcm distmm avstand vzdalenost mesafe etaisyys tavolsag distanta | range rng gap air luft d us sonar ultrasonic depth tiefe ultraschall ultrasonido cm mm dst measure measured mess messwert",
	livelevel.Echo: "echo echotime echozeit tof flight pulsewidth echodauer eco echolaufzeit rtt roundtrip pulse puls impuls | duration dauer laufzeit " +
		"us micros time t",
	livelevel.LevelHeight: "level lvl waterlevel height hoehe wasserstand fuellstand fuellhoehe niveau nivel livello poziom peil waterpeil pegel altura " +
		"altezza hauteur wysokosc hoogte waterhoogte waterstand stand waterdepth depthofwater wassertiefe niva vannstand hladina seviye yukseklik | water wasser agua eau acqua woda fill depth tiefe profundidad profondeur h",
	livelevel.LevelPercent: "level lvl waterlevel percent pct fuellstand fuellgrad niveau nivel livello poziom peil pegel prozent pourcent porcentaje " +
		"percentuale procent proz niva hladina seviye fyllningsgrad fill fullness filled wasserstand napelnienie riempimento remplissage llenado enchimento vulling vulgraad stand " +
		"doluluk | water tank wasser agua eau acqua woda l",
	livelevel.VolumeRole: "volume vol volumen inhalt litres liters liter litros litri litrow content contents contenu contenido contenuto objetosc inhoud wassermenge " +
		"| menge amount quantity gal gallons l",
	livelevel.Pump: "pump pumpe pompe bomba pompa pomp cerpadlo pumppu szivattyu valve ventil vanne valvola valvula klep pumpstate pumpenstatus relay relais rele przekaznik rly pmp wasserpumpe " +
		"| motor relais1 out output ausgang p on state contactor schuetz k1 run",
	livelevel.Mode:         "mode modus modo tryb betriebsart modalita modedeservice | auto automatik betrieb control",
	livelevel.Demand:       "demand float floatswitch schwimmer flotteur flotador galleggiante plywak vlotter anforderung demande demanda zwembad richiesta samandira | request call input in1 di1",
	livelevel.Button:       "button btn taste taster knopf bouton boton pulsante przycisk knop botao dugme | key sw switch",
	livelevel.Supply:       "supply vcc vdd vin vbus vbat battery batt bat ubat voltage volt volts spannung versorgung alimentation alimentacion alimentazione napiecie zasilanie spanning voeding tension tensione voltaje tensao versorgungsspannung uin usup vsup vsupply rail 5v 3v3 12v alim gerilim besleme batteria bateria batterij akku accu akumulator pil | vs ub u0 power v u psu",
	livelevel.MotorCurrent: "current motorcurrent imot amps strom motorstrom courant corriente corrente prad stroom pumpcurrent akim | amp i ampere a",
	livelevel.FlowRole:     "flow flowrate durchfluss debit caudal portata przeplyw debiet vazao zufluss inflow debi | q rate flux",
	livelevel.AirTemperature: "temp temperature temperatur temperatura lufttemperatur airtemp tair temperatuur lufttemp tempc " +
		"sicaklik | t air celsius ta",
	livelevel.Humidity:    "humidity hum rh humid feuchte luftfeuchte luftfeuchtigkeit humidite humedad umidita wilgotnosc vochtigheid vocht umidade feuchtigkeit nem | rf h",
	livelevel.Uptime:      "uptime millis bedrijfstijd drifttid up upms ticks runtime betriebszeit sysuptime up_s ontime tick czaspracy acceso | zaman sure ms t time zeit laufzeit tiempo temps czas tijd tempo sec secs seconds s alive since up clock",
	livelevel.Clock:       "timestamp datetime ts utc epoch date datum fecha data uhrzeit zeitstempel | zaman saat time zeit hora heure czas tijd clock ora",
	livelevel.ResetCause:  "reset rst resetcause resetreason bootreason cause resetgrund | boot reason grund",
	livelevel.Fault:       "fault error err alarm fehler erreur defaut stoerung errore awaria storing fallo falha blad warn alarme allarme hata ariza | status code flags state",
	livelevel.EchoQuality: "quality strength amplitude snr confidence conf qual guete signalstaerke echoquality kwaliteit jakosc qualite calidad qualita staerke | signal amp sig q str",
}

// rawWords mark a value before the filter, smoothWords one behind it.
var rawWords = " raw roh rohwert brut brute crudo cruda grezzo surowy surowa ruw bruto unfiltered last inst "
var smoothWords = " filtered filt filtr filter avg average mean smooth smoothed median med mittel gefiltert moyenne media gladka srednia gemiddeld gefilterd "

var strongWords, weakWords = split(vocabulary)

func split(v map[livelevel.Role]string) (strong, weak map[string][]livelevel.Role) {
	strong, weak = map[string][]livelevel.Role{}, map[string][]livelevel.Role{}
	for r := livelevel.Role(0); int(r) < livelevel.RoleCount; r++ {
		s, w, _ := strings.Cut(v[r], "|")
		for _, x := range strings.Fields(s) {
			strong[x] = append(strong[x], r)
		}
		for _, x := range strings.Fields(w) {
			weak[x] = append(weak[x], r)
		}
	}
	return strong, weak
}

// labelWords cuts a label into folded words: at blanks and signs, at changes from small to capital, and
// between letters and digits.
func labelWords(label string) []string {
	var b strings.Builder
	var last rune
	for _, r := range label {
		if unicode.IsUpper(r) && unicode.IsLower(last) {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		last = r
	}
	return strings.FieldsFunc(fold(b.String()), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '%' && r != '°'
	})
}

// evidence of a label for each role.
type evidence [livelevel.RoleCount]float64

const (
	strongWord = 3.0
	weakWord   = 1.2
	partWord   = 2.4
)

// label weighs the words of a label.
func (e *evidence) label(words []string) {
	joined := strings.Join(words, "")
	for _, w := range append(words, joined) {
		w = strings.TrimRight(w, "0123456789")
		for _, r := range strongWords[w] {
			e[r] = max(e[r], strongWord)
		}
		for _, r := range weakWords[w] {
			e[r] = max(e[r], weakWord)
		}
	}
	for w, roles := range strongWords {
		if len(w) < 5 || len(joined) <= len(w) || !strings.Contains(joined, w) {
			continue
		}
		for _, r := range roles {
			e[r] = max(e[r], partWord)
		}
	}
	e.marks(words)
	e.compounds(words)
}

func anyOf(words []string, list string) bool {
	for _, w := range words {
		if strings.Contains(list, " "+w+" ") {
			return true
		}
	}
	return false
}

// lowWords and highWords name the set points.
const (
	lowWords  = " low lo min start lowset unten bas bajo bassa niski laag starten minimum onat anlauf ein "
	highWords = " high hi max stop fullset highset hiset oben haut alto alta wysoki hoog maximum offat aus upper "
)

// marks finds the taught marks and the set points, whose labels hold the words of other roles too.
func (e *evidence) marks(words []string) {
	if anyOf(words, " vide leer vacia vacio vuoto vuota empty bos ") && anyOf(words, " hauteur hoehe altura altezza height distance abstand ") {
		e[livelevel.Ullage] = max(e[livelevel.Ullage], partWord) // the empty height over the water, if it moves
	}
	full := anyOf(words, " full voll lleno llena plein pieno pelny vol cheio fulldist top ")
	empty := anyOf(words, " empty leer vacio vacia vide vuoto pusty leeg vazio bottom ")
	low, high := anyOf(words, lowWords), anyOf(words, highWords)
	set := anyOf(words, " set setpoint threshold mark limit thr sp schwelle sollwert seuil umbral soglia prog drempel marke pkt at level lvl pct percent lowset fullset highset ")
	switch {
	case (low || full || high) && set && !empty && anyOf(words, " set setpoint threshold thr limit sp schwelle sollwert seuil umbral soglia prog drempel lowset fullset highset at start stop "):
		*e = evidence{}
		if low {
			e[livelevel.LowSet] = strongWord + 1
		} else {
			e[livelevel.FullSet] = strongWord + 1
		}
	case full && !anyOf(words, " volume "):
		*e = evidence{}
		e[livelevel.FullMark] = strongWord + 0.5
		if len(words) == 1 {
			e[livelevel.LevelPercent] = partWord // "Full 86 %" tells how full it is
		}
	case empty:
		*e = evidence{livelevel.Ullage: min(e[livelevel.Ullage], partWord)}
		e[livelevel.EmptyMark] = strongWord + 0.5
	}
}

// compounds settles labels that name two things, of which one is the thing meant.
func (e *evidence) compounds(words []string) {
	switch {
	case anyOf(words, rawWords):
		e[livelevel.UllageRaw] = max(e[livelevel.UllageRaw], e[livelevel.Ullage]+0.6, 1.5)
	case anyOf(words, smoothWords) && e[livelevel.Ullage] > 0:
		e[livelevel.Ullage] += 0.5
		e[livelevel.UllageRaw] -= 1.5
	default:
		e[livelevel.UllageRaw] -= 1.5
	}
	if e[livelevel.MotorCurrent] >= partWord || e[livelevel.Supply] >= partWord || e[livelevel.FlowRole] >= partWord || e[livelevel.AirTemperature] >= partWord {
		e[livelevel.Pump] -= 1.5 // "pump current", "motor temperature"
		e[livelevel.LevelHeight] -= 1.5
		e[livelevel.LevelPercent] -= 1.5
	}
	if e[livelevel.Mode] >= partWord {
		e[livelevel.Pump] -= 1
	}
	if e[livelevel.EchoQuality] >= partWord {
		e[livelevel.Echo] -= 1.5
		e[livelevel.Ullage] -= 1
	}
	if e[livelevel.ResetCause] >= strongWord {
		e[livelevel.Fault] -= 1
	}
	if anyOf(words, " water wasser agua eau acqua woda ") && e[livelevel.AirTemperature] >= strongWord {
		e[livelevel.AirTemperature] -= 2 // the water's temperature is not the air's
	}
	if anyOf(words, " task thread core cpu pid ") || anyOf(words, " count counter cycles starts total sum nr seq number anzahl zaehler id ") {
		for r := range e {
			e[r] -= 2.5
		}
	}
}
