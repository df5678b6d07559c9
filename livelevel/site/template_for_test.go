package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestATemplateForEveryShape(t *testing.T) {
	for shape, keys := range shapeKeys {
		text, err := TemplateFor(shape)
		require.NoError(t, err)
		s, err := Parse("new.yaml", []byte(text))
		require.NoError(t, err, "%s\n%s", shape, text)
		assert.Equal(t, shape, s.Tank.Kind)
		var asked []string
		for _, q := range Questions(s) {
			if k, ok := strings.CutPrefix(q.Path, "tank."); ok {
				asked = append(asked, k)
			}
		}
		assert.ElementsMatch(t, keys, asked, shape)
		for _, k := range keys {
			value := "1.5 m"
			if k == "heads" {
				value = "flat"
			}
			next, err := Amend("new.yaml", []byte(text), "tank."+k, value)
			require.NoError(t, err, "%s %s", shape, k)
			text = string(next)
		}
	}
	_, err := TemplateFor("vertical cylindre")
	assert.ErrorContains(t, err, "did you mean vertical cylinder")
}
