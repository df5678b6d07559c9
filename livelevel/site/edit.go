package site

import (
	"fmt"
	"strings"

	"example.org/tankhand/livelevel/sheet"
)

// texts are the facts that are free text, or the shape.
var texts = map[string]func(*Sheet) *string{
	"site":       func(s *Sheet) *string { return &s.Site },
	"asset":      func(s *Sheet) *string { return &s.Asset },
	"dialect":    func(s *Sheet) *string { return &s.Dialect },
	"tank.shape": func(s *Sheet) *string { return &s.Tank.Kind },
}

// Set gives one fact of the sheet a new value, written as it would stand in a sheet: "1.75 m ± 5 mm
// (measured)" for sensor.face_height, "sphere" for tank.shape. A mistake leaves the sheet as it was.
func (s *Sheet) Set(path, text string) error {
	old := *s
	if err := s.set(path, strings.TrimSpace(text)); err != nil {
		*s = old
		return fmt.Errorf("setting %s: %w", path, err)
	}
	return nil
}

func (s *Sheet) set(path, text string) error {
	if get := texts[path]; get != nil {
		if path == "tank.shape" && text != unknown && vessels[text].make == nil {
			return oneOf(text, shapeNames)
		}
		*get(s) = text
	} else if w := wordOf(path); w != nil {
		if !contains(w.allowed, text) && text != unknown {
			return oneOf(text, w.allowed)
		}
		*w.get(s) = text
		if path == "sensor.kind" {
			s.represet()
		}
	} else if err := s.setFact(path, text); err != nil {
		return err
	}
	if !strings.HasPrefix(path, "tank.") {
		return nil
	}
	return s.Tank.build()
}

func (s *Sheet) setFact(path, text string) error {
	get := byPath[path]
	if get == nil {
		return fmt.Errorf("a sheet has no such fact%s", didYouMean(path))
	}
	read := readMark
	if f := fieldOf(path); f != nil {
		read = f.read
	}
	fact, err := read(text)
	if err != nil {
		return err
	}
	*get(s) = fact
	return nil
}

func wordOf(path string) *word {
	for i := range words {
		if words[i].path == path {
			return &words[i]
		}
	}
	return nil
}

func contains(list []string, text string) bool {
	for _, l := range list {
		if l == text {
			return true
		}
	}
	return false
}

func oneOf(text string, allowed []string) error {
	hint := ""
	if near := sheet.Nearest(text, allowed); near != "" {
		hint = " (did you mean " + near + "?)"
	}
	return fmt.Errorf("%q is none of %s, unknown%s", text, strings.Join(allowed, ", "), hint)
}

// Question is one of the few things to ask when a sheet is begun.
type Question struct {
	Path string
	Ask  string
	Help string // what it is for, what an answer looks like
}

// Questions lists what matters most for this sheet and is not in it yet: what the level, the volume
// and the switching cannot be judged without. The sizes asked for are those of the shape, so ask
// again after each answer.
func Questions(s *Sheet) []Question {
	var open []Question
	for _, q := range questions {
		if s.open(q.Path) {
			open = append(open, q)
		}
	}
	return open
}

func (s *Sheet) open(path string) bool {
	if get := texts[path]; get != nil {
		return *get(s) == ""
	}
	if w := wordOf(path); w != nil {
		return *w.get(s) == unknown && (path != "tank.heads" || s.Tank.Kind == "horizontal cylinder")
	}
	if strings.HasPrefix(path, "tank.") && !s.needs(path) {
		return false
	}
	return byPath[path](s).Origin <= Assumed
}

var questions = []Question{
	{"site", "Name of the site", "as it shall stand in the report"},
	{"asset", "Number of this installation", "like HT-2"},
	{"drinking_water", "Is it drinking water?", "yes or no; decides which cautions are shown"},
	{"tank.shape", "Shape of the tank", "box, vertical cylinder, horizontal cylinder, sphere, cone bottom, dished bottom, table"},
	{"tank.diameter", "Inside diameter", "like 1.10 m or 43 in"},
	{"tank.length", "Inside length", "of the straight part of a horizontal cylinder"},
	{"tank.width", "Inside width", "like 1.50 m"},
	{"tank.heads", "Form of both heads", "flat, ellipsoidal, torispherical, hemispherical"},
	{"tank.cone_height", "Height of the cone", "like 0.50 m"},
	{"tank.bottom_depth", "Depth of the dished bottom", "like 30 cm"},
	{"tank.height", "Inside height, from the lowest point", "like 1.60 m"},
	{"sensor.kind", "Kind of sensor", "open pair (two open cans) or sealed single (one waterproof transducer)"},
	{"sensor.face_height", "Transducer face above the tank's bottom", "measure it with a tape: 1.75 m ± 5 mm (measured)"},
	{"marks.full", "Full mark, as distance from the sensor's face", "what the controller was taught, like 0.35 m"},
	{"marks.empty", "Empty mark, as distance from the sensor's face", "like 1.70 m"},
	{"marks.low_set", "The pump starts below", "a percentage between empty and full, like 40 %, or a distance"},
	{"marks.full_set", "The pump stops at", "likewise; 100 % when left out"},
	{"controller.mains_in_box", "Is there mains voltage in the controller's box?", "yes or no; unknown counts as yes"},
	{"pump.healthy_flow", "What the pump brought into this tank when it was well", "like 2.3 m3/h; without it a slow rise cannot be judged"},
}
