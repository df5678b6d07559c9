package command

import (
	"fmt"
	"os"
	"path/filepath"

	"example.org/tankhand/faulttree/knowledge"
)

// dataFolder is where visits and captures are kept.
func (p *Program) dataFolder() (string, error) {
	if p.data != "" {
		return p.data, nil
	}
	return xdg("XDG_DATA_HOME", ".local/share", "--data")
}

// configFolder is where settings, dialects, site sheets and a firm's own knowledge are kept.
func configFolder() (string, error) { return xdg("XDG_CONFIG_HOME", ".config", "XDG_CONFIG_HOME") }

func xdg(variable, below, advice string) (string, error) {
	// The base directory specification says that a relative path in the variable is to be ignored.
	if base := os.Getenv(variable); filepath.IsAbs(base) {
		return filepath.Join(base, "tankhand"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("finding the home folder: %w (say where with %s)", err, advice)
	}
	return filepath.Join(home, filepath.FromSlash(below), "tankhand"), nil
}

// captures is the folder of raw captures.
func (p *Program) captures() (string, error) {
	dir, err := p.dataFolder()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "captures"), nil
}

// loadKnowledge is the shipped knowledge with the firm's own over it.
func loadKnowledge() (*knowledge.Base, error) {
	dir, err := configFolder()
	if err != nil {
		return knowledge.Load("")
	}
	firm := filepath.Join(dir, "knowledge")
	if _, err := os.Stat(firm); err != nil {
		firm = ""
	}
	return knowledge.Load(firm)
}

// there tells whether a file or a device is there.
func there(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
