package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
)

// taught presses keys on the teach-in and returns the dialect that was sent.
func taught(t *testing.T, keys ...string) visit.UseDialect {
	t.Helper()
	_, f := at(100, 30, teachScene(), Options{}, append([]string{"l"}, keys...)...)
	require.NotEmpty(t, f.done)
	c, ok := f.done[len(f.done)-1].(visit.UseDialect)
	require.True(t, ok)
	return c
}

func TestTeachIn(t *testing.T) {
	c := taught(t, "down", "enter", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "enter") // from not used, the last, up to the first
	require.Len(t, c.Dialect.Fields, 2, "a role stands once: the distance is now in the second column")
	assert.Equal(t, "lvl", c.Dialect.Fields[1].At)
	assert.Equal(t, "ullage", c.Dialect.Fields[1].Role)
	assert.Equal(t, "cm", c.Dialect.Fields[1].Unit)

	c = taught(t, "m") // another unit of the distance
	assert.Equal(t, "mm", c.Dialect.Fields[1].Unit)
	assert.Equal(t, []string{"0", "-1"}, c.Dialect.Fields[1].Lost, "what a lost echo looks like stays")

	c = taught(t, "e", "9", "9", "9", "9", "enter")
	assert.Equal(t, []string{"0", "-1", "9999"}, c.Dialect.Fields[1].Lost)
}

func TestEveryRoleCanBeTaught(t *testing.T) {
	assert.Len(t, roleWords, livelevel.RoleCount)
	assert.Equal(t, livelevel.Ignore.String(), roleWords[len(roleWords)-1])
}

func TestARoleIsTakenOnlyWhenChosen(t *testing.T) {
	m, f := at(100, 30, teachScene(), Options{}, "l", "down", "enter", "up", "up")
	assert.Equal(t, choosing, m.mode)
	assert.Empty(t, f.done, "looking through the list changes nothing")
	m, f = at(100, 30, teachScene(), Options{}, "l", "down", "enter", "up", "esc")
	assert.Equal(t, teaching, m.mode)
	assert.Empty(t, f.done)
}
