package knowledge

import (
	"slices"
	"strings"

	"example.org/tankhand/livelevel/sheet"
)

// reader collects one folder of knowledge with the places that the linter points at.
type reader struct {
	base  *Base
	docs  []*sheet.Doc
	place map[string]*at // "cause/ID", "probe/ID", "complaint/ID"
	about map[string]about
}

// about is the learner's text of a cause, kept apart so that the causes stay a table.
type about struct {
	text  string
	place sheet.Place
	doc   *sheet.Doc
}

// at is where one entry stands.
type at struct {
	m   *sheet.Map
	doc *sheet.Doc
}

func (a *at) problem(key, format string, args ...any) { a.m.Problem(key, format, args...) }

func newReader() *reader {
	return &reader{base: &Base{Causes: map[string]*Cause{}, Probes: map[string]*Probe{}}, place: map[string]*at{}, about: map[string]about{}}
}

// read takes one file by its name.
func (r *reader) read(name, file string, data []byte) error {
	doc, err := sheet.Parse(file, data)
	if err != nil {
		return err
	}
	r.docs = append(r.docs, doc)
	m := doc.Map()
	switch name {
	case "causes":
		for _, e := range m.Entries() {
			r.cause(doc, e)
		}
	case "about":
		for _, e := range m.Entries() {
			r.about[e.Key] = about{e.Value.Text(), e.Place, doc}
		}
	case "probes":
		for _, e := range m.Entries() {
			r.probe(doc, e)
		}
	default:
		r.complaint(doc, m, name)
	}
	return nil
}

// id reports a name that is no id.
func id(doc *sheet.Doc, e sheet.Entry) {
	for i, c := range e.Key {
		if !(c >= 'a' && c <= 'z' || i > 0 && (c >= '0' && c <= '9' || c == '-')) {
			doc.Add(e.Place, "%q is no id: small letters, digits and hyphens, a letter first", e.Key)
			return
		}
	}
}

func (r *reader) cause(doc *sheet.Doc, e sheet.Entry) {
	id(doc, e)
	m := e.Value.Map()
	m.Need("title", "remedy", "minutes", "proof")
	c := &Cause{ID: e.Key, Title: m.Text("title"), Remedy: m.Text("remedy"), About: m.Text("about"), Parts: m.Texts("parts"),
		Minutes: m.Float("minutes", 0), Works: m.Float("works", 0.95), Hazards: m.Texts("hazards"), Proof: proof(m, "proof"),
		Because: m.Texts("because")}
	for _, a := range m.Maps("also") {
		c.Also = append(c.Also, Also{Probe: a.Text("probe"), Note: a.Text("note"), Before: a.Bool("before", false)})
		a.Done()
	}
	m.Done()
	r.base.Causes[e.Key] = c
	r.place["cause/"+e.Key] = &at{m, doc}
}

func proof(m *sheet.Map, key string) Proof {
	if !m.Has(key) {
		return Proof{}
	}
	p := m.Map(key)
	p.Need("probe", "want")
	out := Proof{Probe: p.Text("probe"), Want: p.Text("want")}
	p.Done()
	return out
}

func (r *reader) probe(doc *sheet.Doc, e sheet.Entry) {
	id(doc, e)
	m := e.Value.Map()
	if old := r.base.Probes[e.Key]; old != nil && m.Has("rows") && !m.Has("kind") {
		for cause, row := range rows(m, "rows") {
			old.Rows[cause] = row
		}
		m.Done()
		r.place["probe/"+e.Key] = &at{m, doc}
		return
	}
	m.Need("kind", "ask", "minutes", "answers", "usual")
	p := &Probe{ID: e.Key, Kind: m.Word("kind", "watch", "prompted", "measured", "looked"), Sees: m.Texts("sees"), Ask: m.Text("ask"),
		Caution: m.Text("caution"), Drawing: strings.TrimRight(m.Text("drawing"), "\n"), Unit: m.Text("unit"), Bands: m.Texts("bands"),
		Needs: m.Texts("needs"), Window: m.Duration("window"), Minutes: m.Float("minutes", 0), Hazards: m.Texts("hazards"),
		After: m.Texts("after"), Answers: m.Texts("answers"), Usual: m.Floats("usual"), Rows: rows(m, "rows"), Trial: m.Text("trial")}
	p.Check, p.Aspect, _ = strings.Cut(m.Text("from"), ".")
	if m.Has("not_after") {
		p.NotAfter = map[string][]string{}
		for _, n := range m.Map("not_after").Entries() {
			p.NotAfter[n.Key] = n.Value.Texts()
		}
	}
	m.Done()
	r.base.Probes[e.Key] = p
	r.place["probe/"+e.Key] = &at{m, doc}
}

// rows reads cause -> row.
func rows(m *sheet.Map, key string) map[string][]float64 {
	out := map[string][]float64{}
	if !m.Has(key) {
		return out
	}
	for _, e := range m.Map(key).Entries() {
		out[e.Key] = e.Value.Floats()
	}
	return out
}

func (r *reader) complaint(doc *sheet.Doc, m *sheet.Map, name string) {
	m.Need("complaint")
	c, patch := r.known(m.Text("complaint")), !m.Has("title")
	if c == nil || !patch {
		patch = false
		m.Need("title", "opening", "unlisted", "proof", "priors", "probes")
		c = &Complaint{ID: m.Text("complaint"), Priors: map[string]float64{}, Usual: map[string][]float64{}, Rows: map[string]map[string][]float64{}}
		r.base.Complaints = append(r.base.Complaints, c)
		c.Title, c.Opening, c.First = m.Text("title"), m.Text("opening"), m.Text("first")
		c.Unlisted, c.Proof = m.Float("unlisted", 0.05), proof(m, "proof")
	}
	for _, id := range m.Texts("probes") {
		if !patch || !slices.Contains(c.Probes, id) {
			c.Probes = append(c.Probes, id)
		}
	}
	r.seen(c, m)
	r.weights(c, m)
	m.Done()
	if c.ID != name {
		m.Problem("complaint", "the file is named %s.yaml; the complaint must be %q too", name, name)
	}
	r.place["complaint/"+c.ID] = &at{m, doc}
}

// known is a complaint read before; nil when there is none.
func (r *reader) known(id string) *Complaint {
	for i := len(r.base.Complaints) - 1; i >= 0; i-- {
		if r.base.Complaints[i].ID == id {
			return r.base.Complaints[i]
		}
	}
	return nil
}

func (r *reader) seen(c *Complaint, m *sheet.Map) {
	for _, s := range m.Maps("seen") {
		rule := Seen{Any: s.Texts("any"), For: s.Duration("for")}
		rule.Check, rule.Aspect, _ = strings.Cut(s.Text("from"), ".")
		s.Done()
		c.Seen = append(c.Seen, rule)
	}
}

// weights reads priors and the rows given this complaint, over what was there.
func (r *reader) weights(c *Complaint, m *sheet.Map) {
	for _, e := range m.Map("priors").Entries() {
		if _, there := c.Priors[e.Key]; !there {
			c.Causes = append(c.Causes, e.Key)
		}
		c.Priors[e.Key] = e.Value.Float()
	}
	for id, row := range rows(m, "usual") {
		c.Usual[id] = row
	}
	if !m.Has("rows") {
		return
	}
	of := m.Map("rows")
	for _, e := range of.Entries() {
		if c.Rows[e.Key] == nil {
			c.Rows[e.Key] = map[string][]float64{}
		}
		for cause, row := range rows(of, e.Key) {
			c.Rows[e.Key][cause] = row
		}
	}
}

// teach gives the causes their texts.
func (r *reader) teach() {
	for _, id := range sortedKeys(r.about) {
		a := r.about[id]
		if c := r.base.Causes[id]; c != nil {
			c.About = a.text
		} else {
			a.doc.Add(a.place, "there is no cause %q", id)
		}
	}
}

// err is all that was found wrong in all files.
func (r *reader) err() error {
	var all sheet.Problems
	for _, d := range r.docs {
		if err := d.Err(); err != nil {
			if ps, ok := err.(sheet.Problems); ok {
				all = append(all, ps...)
			}
		}
	}
	if len(all) == 0 {
		return nil
	}
	return all
}

// scale makes the priors of every complaint and Unlisted sum to one.
func scale(b *Base) {
	for _, c := range b.Complaints {
		total := 0.0
		for _, id := range c.Causes {
			total += c.Priors[id]
		}
		for _, id := range c.Causes {
			if total > 0 {
				c.Priors[id] *= (1 - c.Unlisted) / total
			}
		}
	}
}
