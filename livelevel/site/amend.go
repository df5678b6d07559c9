package site

import (
	"fmt"
	"strings"

	"example.org/tankhand/livelevel/sheet"
)

// Amend changes one fact in the text of a sheet and keeps everything else as its author wrote it,
// comments among it: for what is learned on site, such as the dialect or a mark taught anew.
func Amend(name string, data []byte, path, text string) ([]byte, error) {
	want, err := Parse(name, data)
	if err != nil {
		return nil, err
	}
	if err := want.Set(path, text); err != nil {
		return nil, err
	}
	doc, err := sheet.Parse(name, data)
	if err != nil {
		return nil, err
	}
	section, key, ok := strings.Cut(path, ".")
	if !ok {
		section, key = "", path
	}
	out, err := doc.Amend(section, key, text)
	if err != nil {
		return nil, err
	}
	got, err := Parse(name, []byte(out))
	if err != nil || got.String() != want.String() {
		return nil, fmt.Errorf("amending %s: %s cannot be changed without touching other lines; change it with an editor to %s", name, path, text)
	}
	return []byte(out), nil
}
