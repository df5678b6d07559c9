package command

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/tui/start"
)

// knownSheets are the site sheets of the config folder, of the folder the program was started in, and of
// the last visits where no file of theirs is left.
func (p *Program) knownSheets(ctx context.Context) (out []start.Sheet) {
	seen := map[string]bool{}
	add := func(s start.Sheet) {
		if !seen[s.Name] {
			seen[s.Name] = true
			out = append(out, s)
		}
	}
	var paths []string
	if dir, err := configFolder(); err == nil {
		paths, _ = filepath.Glob(filepath.Join(dir, "sites", "*.yaml")) // the pattern is ours
	}
	here, _ := filepath.Glob("*.yaml")
	for _, path := range append(paths, here...) {
		if s, ok := sheetAt(path); ok {
			add(s)
		}
	}
	p.eachVisit(ctx, func(v *visit.Visit, _ bool) bool {
		last := v.Sources[len(v.Sources)-1]
		name := siteWords(visit.Summary{Site: v.Site, Asset: v.Asset})
		if last.Sheet != "" && !last.Invented && name != "-" {
			add(start.Sheet{Name: name, Text: last.Sheet, What: fmt.Sprintf("as at visit %d", v.Number)})
		}
		return true
	})
	return out
}

// sheetAt reads a file if it is a site sheet at all.
func sheetAt(path string) (start.Sheet, bool) {
	text, err := os.ReadFile(path)
	if err != nil || !strings.Contains(string(text), "sheet: "+site.Schema) {
		return start.Sheet{}, false
	}
	s, err := site.Parse(path, text)
	if err != nil {
		return start.Sheet{Name: path, Path: path, What: "has mistakes: tankhand site check " + path}, true
	}
	name := siteWords(visit.Summary{Site: s.Site, Asset: s.Asset})
	if name == "-" {
		name = path
	}
	return start.Sheet{Name: name, Path: path, What: path}, true
}

// keepSheet writes a new site sheet into the config folder and never over another one.
func keepSheet(name, text string) (string, error) {
	dir, err := configFolder()
	if err != nil {
		return "", err
	}
	folder := filepath.Join(dir, "sites")
	file := plainName(name)
	if name == "" {
		file = "site"
	}
	for n := 2; there(filepath.Join(folder, file+".yaml")); n++ {
		file = fmt.Sprintf("%s-%d", strings.TrimSuffix(file, fmt.Sprintf("-%d", n-1)), n)
	}
	return keep(folder, file+".yaml", text)
}
