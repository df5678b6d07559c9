package bench

import (
	"fmt"
	"math"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// roleWords are the roles in the order in which they are offered: what tells the level first.
var roleWords = roleOrder()

func roleOrder() (out []string) {
	for _, r := range []livelevel.Role{livelevel.Ullage, livelevel.Echo, livelevel.LevelHeight, livelevel.LevelPercent, livelevel.VolumeRole, livelevel.Pump} {
		out = append(out, r.String())
	}
	for r := range livelevel.RoleCount {
		if word := livelevel.Role(r).String(); !slices.Contains(out, word) && r != int(livelevel.Ignore) {
			out = append(out, word)
		}
	}
	return append(out, livelevel.Ignore.String())
}

// roleUnits are the units a technician may choose for a role, the usual one first.
var roleUnits = map[string][]string{
	"ullage": {"cm", "mm", "m", "in", "ft"}, "ullage-raw": {"cm", "mm", "m", "in", "ft"}, "level": {"cm", "mm", "m", "in", "ft"},
	"full-mark": {"cm", "mm", "m", "in"}, "empty-mark": {"cm", "mm", "m", "in"}, "echo": {"us", "ms"}, "level-percent": {"%"},
	"low-set": {"%", "cm"}, "full-set": {"%", "cm"}, "volume": {"l", "m3", "gal"}, "supply": {"V", "mV"}, "motor-current": {"A", "mA"},
	"flow": {"m3/h", "l/min", "gpm"}, "temperature": {"degC", "degF"}, "humidity": {"%"}, "uptime": {"ms", "s", "min"}, "time": {"s", "ms"},
}

// teachColumns are the columns of the feed: as learned, with what the dialect in force says of each.
func (m Model) teachColumns() []draw.Column {
	d := m.snap.Dialect
	var out []draw.Column
	for _, c := range m.snap.Columns {
		col := draw.Column{At: c.At, Role: livelevel.Ignore.String(), Sure: c.Confidence, RunnerUp: c.RunnerUp.String(), Sample: c.Sample}
		if i := fieldAt(d, c.At); i >= 0 {
			f := d.Fields[i]
			col.Role, col.Unit, col.Lost, col.Live = f.Role, f.Unit, f.Lost, m.liveValue(f.Role)
			if f.Role != c.Role.String() || f.Unit != c.Unit {
				col.Sure = math.NaN()
			}
		} else if !m.snap.Settled {
			col.Role, col.Unit, col.Lost = c.Role.String(), c.Unit, c.Lost
		}
		out = append(out, col)
	}
	for _, f := range d.Fields {
		if !slices.ContainsFunc(out, func(c draw.Column) bool { return c.At == f.At }) {
			out = append(out, draw.Column{At: f.At, Role: f.Role, Unit: f.Unit, Lost: f.Lost, Sure: math.NaN(), Live: m.liveValue(f.Role)})
		}
	}
	return out
}

func fieldAt(d dialect.Dialect, at string) int {
	return slices.IndexFunc(d.Fields, func(f dialect.Field) bool { return f.At == at })
}

// liveValue is the newest value of a role in the technician's units.
func (m Model) liveValue(word string) string {
	role, ok := livelevel.ParseRole(word)
	n := len(m.snap.Recent)
	if !ok || n == 0 {
		return ""
	}
	r := &m.snap.Recent[n-1]
	v, sent := r.Get(role)
	if !sent {
		if r.EchoLost && (role == livelevel.Ullage || role == livelevel.Echo || role == livelevel.UllageRaw) {
			return "no echo"
		}
		return ""
	}
	u := m.opt.Units
	switch role {
	case livelevel.Ullage, livelevel.UllageRaw, livelevel.LevelHeight, livelevel.FullMark, livelevel.EmptyMark:
		return u.Length(v)
	case livelevel.VolumeRole:
		return u.Volume(v)
	case livelevel.LevelPercent, livelevel.Humidity, livelevel.LowSet, livelevel.FullSet:
		return u.Percent(v)
	case livelevel.Pump, livelevel.Demand, livelevel.Button:
		return map[bool]string{true: "on", false: "off"}[v >= 0.5]
	}
	return fmt.Sprintf("%.4g", v)
}

func (m Model) teachBody(w, h int) draw.Block {
	out := draw.Lines(m.snap.Raw, m.teachColumns(), m.mark, w, h-1)
	level := draw.Of(theme.Plain, " Level: not known yet")
	if l := m.snap.Level; l.How != livelevel.Unknown && !math.IsNaN(l.Height) {
		level = draw.Of(theme.Strong, " Level: "+m.opt.Units.Length(l.Height)+" deep, "+m.opt.Units.Length(l.Ullage)+" below the sensor")
	} else if l.How != livelevel.Unknown && !math.IsNaN(l.Ullage) {
		level = draw.Of(theme.Strong, " Level: "+m.opt.Units.Length(l.Ullage)+" below the sensor")
	}
	if m.field != nil {
		level = m.field.Draw(w)
	}
	return append(out[:min(len(out), max(0, h-1))], level)
}

func (m Model) teachActions() []action {
	free, has := m.free(), m.mark < len(m.teachColumns())
	list := []action{
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
		on(keys.When(free && has, keys.As(keys.Enter, "choose its role")), openRoles),
		on(keys.When(free && has, keys.Unit), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) { return m.teach(nextUnit) }),
		on(keys.When(free && has, keys.LostEcho), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			m.field = &field{kind: lostField, Line: entry.Of("What it sends when it hears no echo", "")}
			return m, nil
		}),
		on(keys.Units, otherUnits),
	}
	if m.opt.SaveDialect != nil {
		list = append(list, on(keys.When(free && m.snap.Settled, keys.Save), saveDialect))
	}
	return list
}

func saveDialect(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	id, d, save := m.opt.ID, m.snap.Dialect, m.opt.SaveDialect
	if s := m.snap.Sheet; s != nil && s.Asset != "" {
		d.Name = s.Asset
	}
	return m, func() tea.Msg {
		path, err := save(d)
		return saved{id: id, path: path, err: err, what: "the dialect"}
	}
}

// openRoles lists the roles for the marked column, the mark at the one it has.
func openRoles(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	m.column = m.mark
	m.mode, m.mark = choosing, max(0, slices.Index(roleWords, m.teachColumns()[m.column].Role))
	return m, nil
}

func (m Model) roleActions() []action {
	return []action{
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
		on(keys.When(m.free(), keys.As(keys.Enter, "it is this")), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			role := roleWords[min(m.mark, len(roleWords)-1)]
			m.mode, m.mark = teaching, m.column
			return m.teach(func(f *dialect.Field) { setRole(f, role) })
		}),
	}
}

// roleBody lists the roles, and says from which column one would be taken away.
func (m Model) roleBody(w, h int) draw.Block {
	columns := m.teachColumns()
	out := draw.Block{draw.Of(theme.Strong, " What is "+columns[min(m.column, len(columns)-1)].At+"?").Cut(w)}
	rows := max(1, h-1)
	from := max(0, min(m.mark-rows/2, len(roleWords)-rows))
	for i := from; i < min(len(roleWords), from+rows); i++ {
		text, ink, lead := roleWords[i], theme.Plain, "  "
		if text == livelevel.Ignore.String() {
			text = "not used"
		}
		for j, c := range columns {
			if c.Role == roleWords[i] && j != m.column && c.Role != livelevel.Ignore.String() {
				text += "   (now " + c.At + ", which would then not be used)"
			}
		}
		if i == m.mark {
			lead, ink = "> ", theme.Strong
		}
		out = append(out, draw.Of(ink, lead+text).Cut(w))
	}
	return out
}

// teach changes the marked column and puts the dialect in force.
func (m Model) teach(change func(*dialect.Field)) (Model, tea.Cmd) {
	columns := m.teachColumns()
	if m.mark >= len(columns) {
		return m, nil
	}
	d, f := m.draft(columns), fieldOf(columns[m.mark])
	if i := fieldAt(d, f.At); i >= 0 {
		f = d.Fields[i]
		d.Fields = slices.Delete(d.Fields, i, i+1)
	}
	change(&f)
	// A role stands once: who had it before is not used any more.
	d.Fields = slices.DeleteFunc(d.Fields, func(o dialect.Field) bool { return o.Role == f.Role })
	if f.Role != livelevel.Ignore.String() {
		d.Fields = append(d.Fields, f)
	}
	return m.do(visit.UseDialect{Dialect: d}, f.At+" is "+roleSaid(f))
}

func roleSaid(f dialect.Field) string {
	if f.Role == livelevel.Ignore.String() {
		return "not used"
	}
	if f.Unit == "" {
		return f.Role
	}
	return f.Role + " in " + f.Unit
}

// draft is the dialect in force, or what the learner proposes while none is settled.
func (m Model) draft(columns []draw.Column) dialect.Dialect {
	d := m.snap.Dialect
	d.Fields = slices.Clone(d.Fields)
	if m.snap.Settled {
		return d
	}
	d.Fields = nil
	for _, c := range columns {
		if c.Role != livelevel.Ignore.String() {
			d.Fields = append(d.Fields, fieldOf(c))
		}
	}
	return d
}

func fieldOf(c draw.Column) dialect.Field {
	return dialect.Field{At: c.At, Role: c.Role, Unit: c.Unit, Lost: c.Lost}
}

func setRole(f *dialect.Field, role string) {
	if f.Role == role {
		return
	}
	f.Role = role
	f.Unit, f.On, f.Off = "", nil, nil
	if units := roleUnits[f.Role]; len(units) > 0 {
		f.Unit = units[0]
	}
	switch f.Role {
	case "pump", "demand", "button":
		f.On, f.Off = []string{"ON", "1", "on", "true"}, []string{"OFF", "0", "off", "false"}
	case "mode":
		f.On, f.Off = []string{"AUTO", "auto", "1"}, []string{"MANUAL", "manual", "0"}
	}
}

func nextUnit(f *dialect.Field) {
	units := roleUnits[f.Role]
	if len(units) == 0 {
		return
	}
	f.Unit = units[(slices.Index(units, f.Unit)+1)%len(units)]
}
