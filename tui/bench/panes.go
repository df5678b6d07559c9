package bench

import (
	"fmt"
	"strings"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// tankSide is the upright tank with what belongs to it.
func (m Model) tankSide(w, h int) draw.Block {
	u := m.opt.Units
	v := draw.VesselOf(m.snap.Sheet, m.snap.Level)
	facts := m.facts(v)
	if s := m.snap.Largest; s != "" && v.U > 0 && h >= 28 {
		facts = append(facts, draw.Wrap(theme.Dim, "accuracy, "+u.Phrase(s), w-1).Indent(1)...)
	}
	trend := min(8, max(0, h-len(facts)-10))
	if trend < 4 {
		trend = 0
	}
	out := draw.Gauge(v, u, w, max(3, h-len(facts)-trend))
	for _, l := range facts {
		out = append(out, l.Cut(w))
	}
	if trend > 0 {
		out = append(out, draw.Trend(m.snap.Trend, m.snap.Now, spans[m.span], u, w, trend, m.opt.Theme.ASCII)...)
	}
	return out.Fit(w, h)
}

func (m Model) facts(v draw.Vessel) draw.Block {
	u := m.opt.Units
	reading := draw.Join(draw.Of(theme.Plain, " "), "", draw.Reading(v, u))
	if m.snap.Level.Volume > 0 {
		reading = append(reading, draw.Say(theme.Plain, "  "+u.Volume(m.snap.Level.Volume)))
	}
	out := draw.Block{reading}
	if v.Level == v.Level && v.Ullage == v.Ullage {
		out = append(out, draw.Of(theme.Plain, " "+u.Length(v.Ullage)+" below the sensor"))
	}
	out = append(out, draw.Join(draw.Of(theme.Plain, " "), "", m.pumpLine()))
	if s := m.snap.Level.Why; s != "" {
		out = append(out, draw.Of(theme.Dim, " "+s))
	}
	return out
}

// pumpLine is the pump as commanded, since when, and the flow of this run.
func (m Model) pumpLine() draw.Line {
	s := m.snap
	if !s.PumpSeen {
		return draw.Of(theme.Dim, "pump not in the feed ")
	}
	word, ink := "pump off ", theme.Plain
	if s.PumpOn {
		word, ink = "pump ON ", theme.Strong
	}
	l := draw.Line{draw.Say(ink, word), draw.Say(theme.Plain, m.opt.Units.Clock(s.PumpFor)+" ")}
	if s.PumpOn && s.RunFlow == s.RunFlow && s.RunFlow != 0 {
		l = append(l, draw.Say(theme.Plain, " "+m.opt.Units.Flow(s.RunFlow)+" "))
		if s.Sheet != nil && s.Sheet.Pump.HealthyFlow.Known() {
			l = append(l, draw.Say(theme.Dim, "of "+m.opt.Units.Flow(s.Sheet.Pump.HealthyFlow.V)+" "))
		}
	}
	return l
}

func (m Model) skipBody(w int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Skip this step: why?"),
		draw.Of(theme.Dim, " "+draw.OfferTitle(m.walk().Offer)).Cut(w)}
	for i, s := range skips {
		out = append(out, listLine(i, i == m.mark, s.text, w))
	}
	return out
}

func (m Model) listingBody(w, h int) draw.Block {
	list := m.findings()
	out := draw.Block{draw.Ends(draw.Of(theme.Strong, " Findings, worst first"), draw.Of(theme.Dim, "+ in order  ! not in order  ? cannot tell "), w)}
	if len(list) == 0 {
		return append(out, draw.Of(theme.Dim, " No check has run yet."))
	}
	return append(out, draw.Findings(list, m.mark, w, h-1)...)
}

func (m Model) readingBody(w int) draw.Block {
	list := m.findings()
	if m.mark >= len(list) {
		return draw.Block{draw.Of(theme.Dim, " This finding is no longer there.")}
	}
	f := list[m.mark]
	out := draw.Evidence(f, m.opt.Units, w)
	if f.Evidence.To.After(f.Evidence.From) && len(m.snap.Trend) > 1 {
		out = append(out, draw.Trend(m.snap.Trend, f.Evidence.To, f.Evidence.To.Sub(f.Evidence.From), m.opt.Units, w, 7, m.opt.Theme.ASCII)...)
	}
	return out
}

// helpBody lists every key of the working screen with its word, whether enabled now or not.
func (m Model) helpBody(w int) draw.Block {
	was := m
	was.mode = working
	return draw.KeyList(keys.Bindings(was.actions()), w)
}

func (m Model) notesBody(w, h int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Notes of this visit")}
	for _, n := range m.snap.Notes[max(0, len(m.snap.Notes)-max(0, h-3)):] {
		out = append(out, draw.Of(theme.Plain, "   "+n).Cut(w))
	}
	if m.field != nil {
		out = append(out, m.field.Draw(w))
	}
	return out
}

// mendBody lists the remedies and shows the marked one whole, its hazards before it can be said
// to be done.
func (m Model) mendBody(w, h int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Which remedy was done?")}
	list := m.mendable()
	var text draw.Block
	if m.mark < len(list) {
		text = m.remedyText(list[m.mark].Cause, w)
	}
	room := max(1, h-1-len(text))
	from := max(0, min(m.mark-room/2, len(list)-room))
	for i := from; i < min(len(list), from+room); i++ {
		chance := draw.Of(theme.Plain, fmt.Sprintf("%.0f%% ", 100*list[i].Probability))
		out = append(out, draw.Ends(listLine(i, i == m.mark, list[i].Title, w-6), chance, w))
	}
	return append(out, text...)
}

func (m Model) remedyText(cause string, w int) draw.Block {
	if m.opt.Base == nil || m.opt.Base.Causes[cause] == nil {
		return nil
	}
	c := m.opt.Base.Causes[cause]
	out := draw.Block{nil}
	out = append(out, draw.Wrap(theme.Plain, c.Remedy, w-4).Indent(3)...)
	if len(c.Parts) > 0 {
		out = append(out, draw.Of(theme.Dim, "   Parts: "+strings.Join(c.Parts, ", ")).Cut(w))
	}
	if len(c.Hazards) > 0 {
		out = append(out, draw.Line{draw.Say(theme.Bad, "   ! Hazards: "), draw.Say(theme.Strong, words(strings.Join(c.Hazards, ", ")))}.Cut(w))
	}
	return out
}
