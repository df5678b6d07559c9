package command

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/pflag"

	"example.org/tankhand/tui/settings"
)

// settingsPath is the file of the settings.
func settingsPath() (string, error) {
	dir, err := configFolder()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "settings.yaml"), nil
}

// readSettings takes the settings for whatever flag was not given. A wrong file is said and no reason to
// stop: somebody stands at a tank.
func (p *Program) readSettings(flags *pflag.FlagSet) {
	path, err := settingsPath()
	if err == nil {
		p.settings, err = settings.Load(path)
	}
	if err != nil {
		p.settingsWrong = err
		fmt.Fprintln(p.Err, "tankhand:", err)
	}
	for name, value := range flagWords(p.settings) {
		if f := flags.Lookup(name); f != nil && !f.Changed && value != "" {
			_ = f.Value.Set(value) // the words of the settings are words of the flags
		}
	}
}

// flagWords are the flags that settings stand for; "" leaves a flag as it is.
func flagWords(s settings.Settings) map[string]string {
	yes := func(on bool) string {
		if on {
			return "true"
		}
		return ""
	}
	words := map[string]string{
		"units": s.Units, "technician": s.Technician, "where": s.Where, "paper": s.Paper,
		"no-mains": yes(s.Mains == "no"), "no-learning": yes(s.Learning == "no"), "ascii": yes(s.Drawing == "ascii"),
	}
	switch s.SlowLink {
	case "yes":
		words["slow-link"] = "true"
	case "no":
		words["slow-link"] = "false"
	}
	return words
}

// settle takes settings that were chosen on the screen; feeds are opened beside it.
func (p *Program) settle(s settings.Settings) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.settings = s
	if p.units = s.Units; p.units == "" {
		p.units = "metric"
	}
}

func (p *Program) chosen() settings.Settings {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.settings
}

// settled are the words of a source that is opened from a screen, where there are no flags.
func (p *Program) settled(s source) *source {
	c := p.chosen()
	s.technician, s.where = c.Technician, c.Where
	s.noMains, s.noLearning = c.Mains == "no", c.Learning == "no"
	return &s
}
