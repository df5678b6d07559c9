package report

// cellLine is the height of a line in a table, mm; cellPad what is left free at both sides of a cell.
const (
	cellLine = 3.7
	cellPad  = 1.0
	maxLines = 60 // of one cell: a row must fit on a page
)

func (s sheet) table(t table) {
	widths := s.columns(t)
	s.SetFont(family, "B", 8)
	s.row(t.head, widths, true)
	for _, row := range t.rows {
		s.SetFont(family, "", 8)
		h := s.rowHeight(row, widths)
		before := s.PageNo()
		s.keep(h)
		if s.PageNo() != before {
			s.SetFont(family, "B", 8)
			s.row(t.head, widths, true)
			s.SetFont(family, "", 8)
		}
		s.row(row, widths, false)
	}
	s.Ln(2)
}

// columns shares the width out by what the cells need, up to a bound; the wide one takes the rest.
func (s sheet) columns(t table) []float64 {
	widths := make([]float64, len(t.head))
	s.SetFont(family, "B", 8)
	bound := s.inner() / float64(len(t.head)) * 1.1
	used := 0.0
	for i := range widths {
		for _, row := range append([][]string{t.head}, t.rows...) {
			widths[i] = max(widths[i], min(bound, s.GetStringWidth(pdfText(row[i]))+2*cellPad+1))
		}
		used += widths[i]
	}
	widths[t.wide] = max(widths[t.wide]+s.inner()-used, 20)
	return widths
}

func (s sheet) cellLines(text string, width float64) []string {
	var out []string
	for _, l := range s.SplitText(pdfText(text), width-2*cellPad) {
		if len(out) == maxLines {
			return append(out[:maxLines-1], "... (cut)")
		}
		out = append(out, l)
	}
	return out
}

func (s sheet) rowHeight(row []string, widths []float64) float64 {
	n := 1
	for i, c := range row {
		n = max(n, len(s.cellLines(c, widths[i])))
	}
	return float64(n)*cellLine + 2*cellPad
}

func (s sheet) row(row []string, widths []float64, head bool) {
	h := s.rowHeight(row, widths)
	x, y := s.GetX(), s.GetY()
	s.SetDrawColor(150, 150, 150)
	s.SetFillColor(235, 235, 235)
	style := "D"
	if head {
		style = "FD"
	}
	for i, c := range row {
		s.Rect(x, y, widths[i], h, style)
		for j, l := range s.cellLines(c, widths[i]) {
			s.Text(x+cellPad, y+cellPad+cellLine*float64(j)+2.8, l)
		}
		x += widths[i]
	}
	s.SetXY(margin, y+h)
}
