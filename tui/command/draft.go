package command

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
)

// draft is the note that is being typed on a visit, in a file of its own beside the store: it is no
// event of the visit before it is finished.
type draft struct {
	mu     sync.Mutex
	path   string // "" where nothing is kept
	newest int
}

// draftFor is the draft of a visit; visits have random names, which fit for a file.
func (p *Program) draftFor(visit string) *draft {
	dir, err := p.dataFolder()
	if err != nil || visit == "" {
		return &draft{}
	}
	return &draft{path: filepath.Join(dir, "drafts", filepath.Base(visit)+".txt")}
}

// Draft is what was being typed.
func (d *draft) Draft() string {
	if d.path == "" {
		return ""
	}
	text, err := os.ReadFile(d.path)
	if err != nil {
		return "" // none, or none that can be had: the note is typed anew
	}
	return string(text[:min(len(text), longestDraft)])
}

// longestDraft is more than the note field takes.
const longestDraft = 4096

// KeepDraft replaces the draft, whole or not at all.
func (d *draft) KeepDraft(number int, text string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.path == "" || number < d.newest {
		return nil
	}
	d.newest = number
	if text == "" {
		if err := os.Remove(d.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("forgetting the draft of a note: %w", err)
		}
		return nil
	}
	if _, err := keep(filepath.Dir(d.path), filepath.Base(d.path)+".new", text); err != nil {
		return err
	}
	if err := os.Rename(d.path+".new", d.path); err != nil {
		return fmt.Errorf("keeping the draft of a note: %w", err)
	}
	return nil
}

// forgetDrafts removes the drafts that belong to an erased visit or hold an erased name.
func (p *Program) forgetDrafts(visit, person string) error {
	if visit != "" {
		return p.draftFor(visit).KeepDraft(0, "")
	}
	dir, err := p.dataFolder()
	if err != nil {
		return err
	}
	folder := filepath.Join(dir, "drafts")
	kept, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, f := range kept {
		path := filepath.Join(folder, f.Name())
		text, failed := os.ReadFile(path)
		if failed == nil && strings.Contains(strings.ToLower(string(text)), strings.ToLower(person)) {
			failed = os.Remove(path)
		}
		err = errors.Join(err, failed)
	}
	return err
}
