package report

import "codeberg.org/go-pdf/fpdf"

func (s sheet) figure(k figure) {
	c, ok := s.report.newChart(s.inner(), 62, 12, 13)
	if !ok {
		return
	}
	s.keep(c.height + 6)
	x0, y0 := margin, s.GetY()
	s.chart(c, x0, y0)
	s.SetXY(margin, y0+c.height)
	s.text("", 8, k.caption+" (water height in "+c.unit+"). Bar below: pump relay on. Dashed line with triangle: restart. Cross: lost echo.")
}

func (s sheet) chart(c chart, x0, y0 float64) {
	s.SetFont(family, "", 7)
	s.SetLineWidth(0.1)
	s.SetDrawColor(200, 200, 200)
	for _, t := range c.ys {
		s.Line(x0+c.left, y0+t.at, x0+c.right, y0+t.at)
		s.Text(x0+c.left-1-s.GetStringWidth(t.text), y0+t.at+1, t.text)
	}
	for _, t := range c.xs {
		s.Text(x0+t.at-s.GetStringWidth(t.text)/2, y0+c.bottom+8, t.text)
	}
	s.SetFillColor(156, 196, 221)
	for _, outline := range c.spread {
		s.Polygon(moved(outline, x0, y0), "F")
	}
	s.SetLineWidth(0.3)
	s.SetDrawColor(11, 79, 121)
	for _, l := range c.lines {
		for i := 1; i < len(l); i++ {
			s.Line(x0+l[i-1].x, y0+l[i-1].y, x0+l[i].x, y0+l[i].y)
		}
	}
	s.marks(c, x0, y0)
	s.SetLineWidth(0.2)
	s.SetDrawColor(0, 0, 0)
	s.SetFillColor(255, 255, 255)
}

func (s sheet) marks(c chart, x0, y0 float64) {
	s.SetFillColor(26, 26, 26)
	for _, p := range c.pump {
		s.Rect(x0+p[0], y0+c.bottom+1.5, max(p[1]-p[0], 0.2), 2, "F")
	}
	s.SetDrawColor(170, 51, 51)
	s.SetFillColor(170, 51, 51)
	s.SetLineWidth(0.2)
	s.SetDashPattern([]float64{1, 0.7}, 0)
	for _, x := range c.restarts {
		s.Line(x0+x, y0+c.top, x0+x, y0+c.bottom)
	}
	s.SetDashPattern(nil, 0)
	for _, x := range c.restarts {
		s.Polygon([]fpdf.PointType{{X: x0 + x - 1, Y: y0 + c.top}, {X: x0 + x + 1, Y: y0 + c.top}, {X: x0 + x, Y: y0 + c.top + 2}}, "F")
	}
	s.SetDrawColor(26, 26, 26)
	for _, x := range c.dropouts {
		s.Line(x0+x-1, y0+c.bottom-3, x0+x+1, y0+c.bottom-1)
		s.Line(x0+x-1, y0+c.bottom-1, x0+x+1, y0+c.bottom-3)
	}
}

func moved(in []spot, x0, y0 float64) []fpdf.PointType {
	out := make([]fpdf.PointType, len(in))
	for i, p := range in {
		out[i] = fpdf.PointType{X: x0 + p.x, Y: y0 + p.y}
	}
	return out
}
