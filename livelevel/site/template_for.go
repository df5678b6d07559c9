package site

import (
	"fmt"
	"strings"
)

// shapeKeys are the sizes that each shape is given by; the lines of the others stay comments.
var shapeKeys = map[string][]string{
	"vertical cylinder":   {"diameter", "height"},
	"box":                 {"length", "width", "height"},
	"horizontal cylinder": {"diameter", "length", "heads"},
	"sphere":              {"diameter"},
	"cone bottom":         {"diameter", "height", "cone_height"},
	"dished bottom":       {"diameter", "height", "bottom_depth"},
}

// TemplateFor is the commented sheet for a tank of some shape, with the sizes of that shape to be
// filled in. A strapping table is written with an editor: its rows cannot be asked one by one.
func TemplateFor(shape string) (string, error) {
	keys, ok := shapeKeys[shape]
	if !ok {
		return "", fmt.Errorf("a sheet for the shape %q: %w", shape, oneOf(shape, []string{"box", "vertical cylinder", "horizontal cylinder", "sphere", "cone bottom", "dished bottom"}))
	}
	lines := strings.Split(strings.Replace(Template, "shape: vertical cylinder  ", "shape: "+shape+"  ", 1), "\n")
	var out []string
	inTank := false
	for _, line := range lines {
		if line != "" && !strings.HasPrefix(line, " ") && !strings.HasPrefix(line, "#") {
			inTank = strings.HasPrefix(line, "tank:")
		}
		if inTank {
			line = sizeLine(line, keys)
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n"), nil
}

// sizeLine makes a size's line a fact to fill in where the shape needs it, else a comment.
func sizeLine(line string, keys []string) string {
	bare := strings.TrimPrefix(strings.TrimSpace(line), "# ")
	key, rest, ok := strings.Cut(bare, ":")
	if !ok || !strings.Contains("diameter length width height heads cone_height bottom_depth", key) || key == "" {
		return line
	}
	_, note, _ := strings.Cut(rest, "#")
	for _, k := range keys {
		if k == key {
			return fmt.Sprintf("  %-26s #%s", key+": unknown", note)
		}
	}
	return fmt.Sprintf("  # %s:%s", key, rest)
}
