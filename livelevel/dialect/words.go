package dialect

import "strings"

// The words that controllers use for a state, in several languages, folded by fold. They are values
// wherever they stand behind a label.
var stateWords = map[string]int{}

const (
	wordOn = iota + 1
	wordOff
	wordAuto
	wordManual
	wordLost
)

func init() {
	for kind, list := range map[int]string{
		wordOn: "on an ein yes ja si oui tak sim true running run runs laeuft lauft active aktiv actif activo attivo closed high " +
			"marche marcha encendida encendido acceso accesa wlaczona wlaczony wlacz ligada ligado aan started enabled pressed werkt wl zal zalaczona zalaczony lig ligar energised energized pa taendt zap zapnuto acik",
		wordOff: "off aus no nein non nie nao false stopped stop idle inactive inaktiv inactif inactivo open low arret apagada apagado spento " +
			"spenta wylaczona wylaczony desligada desligado uit disabled released stopp nee arrete arretee steht paro parada parado detenida detenido wyl desl desligar released de-energised de-energized av slukket vyp vypnuto kapali shut",
		wordAuto:   "auto automatic automatik automatique automatico automatyczny automatisch automatyka",
		wordManual: "manual man hand manuell manuel manuale reczny handbetrieb handmatig",
		wordLost: "nan null none nil n/a na --- -- ---- - ??? ?? *** **** inf timeout time-out err error lost noecho no-echo no_echo out_of_range " +
			"oor ol invalid fail failed fehler kein echo sinecho overrange",
	} {
		for _, w := range strings.Fields(list) {
			if stateWords[w] == 0 {
				stateWords[w] = kind
			}
		}
	}
	delete(stateWords, "kein")
	delete(stateWords, "echo")
	delete(stateWords, "si")
}

// lostPhrases are lost echoes of more than one word.
var lostPhrases = []string{"out of range", "no echo", "no signal", "kein echo", "pas d'echo", "sin eco", "nessun eco", "brak echa",
	"geen echo", "sem eco", "echo lost", "lost echo", "no reading", "not available", "time out", "sensor error", "ausser bereich",
	"hors plage", "hors portee", "fuera de rango", "fuori campo", "poza zakresem", "buiten bereik", "fora de alcance"}

// fold makes a label comparable: lower case, accents off, runs of blanks one space.
func fold(s string) string {
	var b strings.Builder
	space := false
	for _, r := range strings.ToLower(s) {
		if r == ' ' || r == '\t' || r == '\u00a0' {
			space = b.Len() > 0
			continue
		}
		if space {
			b.WriteByte(' ')
			space = false
		}
		if p, ok := plain[r]; ok {
			b.WriteString(p)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// plain takes the accents off the letters of the languages we know labels in.
var plain = map[rune]string{'ä': "ae", 'ö': "oe", 'ü': "ue", 'ß': "ss", 'á': "a", 'à': "a", 'â': "a", 'ã': "a", 'ą': "a", 'é': "e", 'è': "e",
	'ê': "e", 'ë': "e", 'ę': "e", 'í': "i", 'ì': "i", 'î': "i", 'ï': "i", 'ó': "o", 'ò': "o", 'ô': "o", 'õ': "o", 'ú': "u", 'ù': "u", 'û': "u",
	'ç': "c", 'ć': "c", 'ñ': "n", 'ń': "n", 'ł': "l", 'ś': "s", 'ź': "z", 'ż': "z", 'å': "a", 'ø': "o", 'æ': "ae",
	'č': "c", 'ď': "d", 'ě': "e", 'ň': "n", 'ř': "r", 'š': "s", 'ť': "t", 'ů': "u", 'ý': "y", 'ž': "z", 'ğ': "g", 'ı': "i", 'ş': "s", 'ő': "oe", 'ű': "ue", 'ă': "a", 'ț': "t", 'ș': "s"}
