package bench

import tea "github.com/charmbracelet/bubbletea"

// pressAll takes keys that came together, as on a slow link: the terminal library hands over what was
// read at once as one message, which is no key of any binding. What was pasted presses no keys.
func (m Model) pressAll(msg tea.KeyMsg) (Model, tea.Cmd) {
	if msg.Type != tea.KeyRunes || len(msg.Runes) < 2 || m.field != nil || msg.Alt {
		return m.press(msg)
	}
	if msg.Paste {
		return m, nil
	}
	var cmds []tea.Cmd
	for i, r := range msg.Runes {
		one := msg
		one.Runes = []rune{r}
		if m.field != nil { // the rest is the text of the field that a key opened
			one.Runes = msg.Runes[i:]
		}
		next, cmd := m.press(one)
		m, cmds = next, append(cmds, cmd)
		if len(one.Runes) > 1 {
			break
		}
	}
	return m, tea.Batch(cmds...)
}
