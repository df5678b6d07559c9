package knowledge

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
)

// The YAML is what people write and read; shipped.json is the same knowledge in a form that loads in
// a few milliseconds, since every command loads it. A test keeps the two alike:
// `go test ./faulttree/knowledge -run Compact -update` writes it anew.
//
//go:embed shipped/*.yaml
var shippedYAML embed.FS

//go:embed shipped.json
var shippedJSON []byte

// Load returns the shipped knowledge, merged with a firm's own folder where it is not empty.
func Load(firm string) (*Base, error) {
	if firm == "" {
		return compact(shippedJSON)
	}
	entries, err := os.ReadDir(firm)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(yamlNames(entries)) == 0 {
		return compact(shippedJSON)
	}
	if err != nil {
		return nil, fmt.Errorf("reading the firm's own knowledge in %s: %w", firm, err)
	}
	base, _, err := LintAll(os.DirFS(firm), firm)
	return base, err
}

func compact(data []byte) (*Base, error) {
	b := &Base{}
	if err := json.Unmarshal(data, b); err != nil {
		return nil, fmt.Errorf("reading the shipped knowledge: %w", err)
	}
	return b, nil
}

func yamlNames(entries []fs.DirEntry) (names []string) {
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ".yaml") {
			names = append(names, e.Name())
		}
	}
	return names
}

// LintAll reads the shipped YAML and a firm's own (nil: none) and checks all of it: err is what
// makes it refuse to load, as sheet.Problems with places; warnings are what to look at.
func LintAll(firm fs.FS, folder string) (base *Base, warnings []string, err error) {
	r, h := newReader(), sha256.New()
	shipped, _ := fs.Sub(shippedYAML, "shipped")
	if err := r.folder(shipped, "shipped", h); err != nil {
		return nil, nil, err
	}
	if firm != nil {
		if err := r.folder(firm, folder, h); err != nil {
			return nil, nil, err
		}
	}
	r.order()
	r.teach()
	warnings = r.lint()
	if err := r.err(); err != nil {
		return nil, warnings, err
	}
	scale(r.base)
	r.base.Hash = hex.EncodeToString(h.Sum(nil))
	return r.base, warnings, nil
}

// Lint checks the shipped knowledge and a firm's own folder ("": none). The error lists what makes it
// refuse to load, each with file, line and column; the warnings load but deserve a look.
func Lint(firm string) (warnings []string, err error) {
	if firm == "" {
		_, warnings, err = LintAll(nil, "")
		return warnings, err
	}
	if _, err := os.Stat(firm); err != nil {
		return nil, fmt.Errorf("checking the firm's own knowledge: %w (give a folder of YAML files)", err)
	}
	_, warnings, err = LintAll(os.DirFS(firm), firm)
	return warnings, err
}

// folder reads all YAML files of a folder. Later entries replace earlier ones of the same id; a probe
// with rows alone, and a complaint without a title, add to the earlier one.
func (r *reader) folder(files fs.FS, name string, h interface{ Write([]byte) (int, error) }) error {
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return fmt.Errorf("reading knowledge in %s: %w", name, err)
	}
	for _, file := range yamlNames(entries) {
		data, err := fs.ReadFile(files, file)
		if err != nil {
			return fmt.Errorf("reading knowledge %s: %w", path.Join(name, file), err)
		}
		fmt.Fprintf(writer{h}, "%s %d\n", file, len(data))
		h.Write(data)
		if err := r.read(strings.TrimSuffix(file, ".yaml"), path.Join(name, file), data); err != nil {
			return err
		}
	}
	return nil
}

type writer struct {
	w interface{ Write([]byte) (int, error) }
}

func (w writer) Write(p []byte) (int, error) { return w.w.Write(p) }

// order puts the complaints in the fixed order, a firm's own after them; of two with one id the
// later one counts.
func (r *reader) order() {
	last := map[string]*Complaint{}
	var ids []string
	for _, c := range r.base.Complaints {
		if last[c.ID] == nil {
			ids = append(ids, c.ID)
		}
		last[c.ID] = c
	}
	rank := func(id string) int {
		if i := slices.Index(Order, id); i >= 0 {
			return i
		}
		return len(Order)
	}
	slices.SortStableFunc(ids, func(a, b string) int { return rank(a) - rank(b) })
	r.base.Complaints = nil
	for _, id := range ids {
		r.base.Complaints = append(r.base.Complaints, last[id])
	}
}
