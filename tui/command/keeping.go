package command

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.org/tankhand/livelevel/dialect"
)

// keepDialect writes a dialect into the config folder under a plain name; a site sheet that says
// "dialect: NAME" is offered it again.
func keepDialect(d dialect.Dialect) (string, error) {
	dir, err := configFolder()
	if err != nil {
		return "", err
	}
	d.Name = plainName(d.Name)
	return keep(filepath.Join(dir, "dialects"), d.Name+".yaml", dialect.Format(d))
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
