package report

import (
	"fmt"
	"io"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/goregular"
)

const (
	margin     = 16.0 // mm
	lineHeight = 4.8
	family     = "go"
)

// sheet is a PDF being written.
type sheet struct {
	*fpdf.Fpdf
	report Report
}

// PDF writes the report as PDF; the same report gives the same bytes.
func (r Report) PDF(w io.Writer) error {
	paper := "A4"
	if r.opt.Paper == Letter {
		paper = "Letter"
	}
	s := sheet{fpdf.New("P", "mm", paper, ""), r}
	s.begin()
	for _, k := range r.blocks() {
		s.block(k)
	}
	if err := s.Output(w); err != nil {
		return fmt.Errorf("writing the report of visit %s as PDF: %w", r.visit.ID, err)
	}
	return nil
}

// begin sets what every page has. Times and catalog order are fixed, or no two files would be alike.
func (s sheet) begin() {
	s.SetCatalogSort(true)
	s.SetCreationDate(s.report.visit.Last)
	s.SetModificationDate(s.report.visit.Last)
	s.SetTitle(pdfText(s.report.Title()), true)
	s.SetCreator(pdfText(s.report.opt.Program), true)
	s.AddUTF8FontFromBytes(family, "", goregular.TTF)
	s.AddUTF8FontFromBytes(family, "B", gobold.TTF)
	s.AddUTF8FontFromBytes(family, "I", goitalic.TTF)
	s.SetCellMargin(0)
	s.SetMargins(margin, margin, margin)
	s.SetAutoPageBreak(true, margin+4)
	s.AliasNbPages("")
	s.SetFooterFunc(func() {
		s.SetY(-margin)
		s.SetFont(family, "", 7.5)
		s.SetTextColor(80, 80, 80)
		text := s.report.Title() + ", page " + fmt.Sprint(s.PageNo()) + " of {nb}"
		if s.report.visit.Invented() {
			text += ". Invented data."
		}
		s.CellFormat(0, 4, pdfText(text), "", 0, "C", false, 0, "")
		s.SetTextColor(0, 0, 0)
	})
	s.AddPage()
}

// pdfText makes a text printable: the fonts hold the basic plane only.
func pdfText(in string) string {
	return strings.Map(func(r rune) rune {
		if r > 0xffff {
			return '\ufffd'
		}
		return r
	}, visible(in))
}

func (s sheet) block(k block) {
	switch k := k.(type) {
	case heading:
		s.heading(k)
	case paragraph:
		s.paragraph(k)
	case quote:
		s.text("I", 10, k.text)
	case list:
		for _, i := range k.items {
			s.item(i)
		}
		s.Ln(1)
	case facts:
		s.facts(k)
	case table:
		s.table(k)
	case lines:
		s.sign(k)
	case figure:
		s.figure(k)
	case pageBreak:
		s.AddPage()
	}
}

func (s sheet) text(style string, size float64, t string) {
	s.SetFont(family, style, size)
	s.MultiCell(0, lineHeight, pdfText(t), "", "L", false)
	s.Ln(1)
}

func (s sheet) heading(k heading) {
	size := 16.0
	if k.level > 1 {
		size = 11.5
		s.Ln(2)
		s.keep(20) // a heading does not stand alone at the foot of a page
	}
	s.SetFont(family, "B", size)
	s.MultiCell(0, size*0.5, pdfText(k.text), "", "L", false)
	s.Ln(1)
}

func (s sheet) paragraph(k paragraph) {
	if !k.strong {
		s.text("", 10, k.text)
		return
	}
	s.SetFont(family, "B", 10)
	s.SetDrawColor(0, 0, 0)
	s.MultiCell(0, lineHeight+2, pdfText(k.text), "1", "C", false)
	s.Ln(2)
}

func (s sheet) item(t string) {
	s.SetFont(family, "", 10)
	s.CellFormat(4, lineHeight, "-", "", 0, "L", false, 0, "")
	left := s.GetX()
	s.SetLeftMargin(left)
	s.MultiCell(0, lineHeight, pdfText(t), "", "L", false)
	s.SetLeftMargin(margin)
	s.SetX(margin)
}

func (s sheet) facts(k facts) {
	for _, f := range k.rows {
		s.SetFont(family, "B", 10)
		s.CellFormat(28, lineHeight, pdfText(f[0]), "", 0, "L", false, 0, "")
		s.SetFont(family, "", 10)
		s.MultiCell(0, lineHeight, pdfText(f[1]), "", "L", false)
	}
	s.Ln(1)
}

func (s sheet) sign(k lines) {
	s.keep(24)
	s.Ln(14)
	width := (s.inner() - 8*float64(len(k.labels)-1)) / float64(len(k.labels))
	s.SetDrawColor(0, 0, 0)
	s.SetFont(family, "", 8)
	for _, l := range k.labels {
		s.CellFormat(width, 4, pdfText(l)+", date, signature", "T", 0, "L", false, 0, "")
		s.SetX(s.GetX() + 8)
	}
	s.Ln(6)
}

// inner is the width between the margins.
func (s sheet) inner() float64 {
	w, _ := s.GetPageSize()
	return w - 2*margin
}

// keep begins a page when less than h is left on this one.
func (s sheet) keep(h float64) {
	if _, height := s.GetPageSize(); s.GetY()+h > height-margin-4 {
		s.AddPage()
	}
}
