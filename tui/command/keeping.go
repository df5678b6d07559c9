package command

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/site"
)

// keepDialect writes a dialect into the config folder under a plain name, and that name into the site sheet
// of the bench, so that the site offers it again. It returns where both stand, in words for the screen.
func (p *Program) keepDialect(d dialect.Dialect) (string, error) {
	dir, err := configFolder()
	if err != nil {
		return "", err
	}
	d.Name = plainName(d.Name)
	path, err := keep(filepath.Join(dir, "dialects"), d.Name+".yaml", dialect.Format(d))
	if err != nil {
		return "", err
	}
	p.mu.Lock()
	sheet := p.sheetInUse
	p.mu.Unlock()
	if sheet == "" {
		return path, nil
	}
	if err := nameDialect(sheet, d.Name); err != nil {
		return fmt.Sprintf("%s, but write dialect: %s into %s yourself (%v)", path, d.Name, sheet, err), nil
	}
	return path + ", its name in " + sheet, nil
}

// nameDialect writes the name of a dialect into a site sheet and leaves every other line as it is.
func nameDialect(sheet, name string) error {
	data, err := os.ReadFile(sheet)
	if err != nil {
		return err
	}
	out, err := site.Amend(sheet, data, "dialect", name)
	if err != nil || bytes.Equal(out, data) {
		return err
	}
	return replace(sheet, out)
}

// replace writes a file anew in one step: a full disk or a cut power line leaves the old one.
func replace(path string, data []byte) error {
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".sheet-*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close(), os.Chmod(f.Name(), info.Mode().Perm()))
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// keepScreen writes the text of a screen into the data folder.
func (p *Program) keepScreen(text string) (string, error) {
	dir, err := p.dataFolder()
	if err != nil {
		return "", err
	}
	return keep(filepath.Join(dir, "screens"), time.Now().Format("20060102-150405")+".txt", text)
}

func keep(folder, name, text string) (string, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", fmt.Errorf("keeping %s: %w", name, err)
	}
	path := filepath.Join(folder, name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		return "", fmt.Errorf("keeping %s: %w", name, err)
	}
	return path, nil
}

// plainName makes what a person called a site fit for a file name and for a word in a sheet.
func plainName(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 60 {
			break
		}
	}
	if name := strings.Trim(b.String(), "-"); name != "" {
		return name
	}
	return "learned"
}
