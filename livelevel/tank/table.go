package tank

import (
	"fmt"
	"math"
	"sort"
)

// Row is one line of a strapping table: the volume measured or computed at a level.
type Row struct{ Level, Volume float64 }

// table reads between the rows by straight lines and never beyond them.
type table struct{ rows []Row }

// Strapping is a tank known by its strapping table. Between two rows volume grows linearly; outside
// the table nothing is extrapolated: the nearest row holds. Rows must rise in level and in volume.
func Strapping(rows []Row) (Shape, error) {
	if len(rows) < 2 {
		return nil, fmt.Errorf("a strapping table needs at least two rows of level and volume")
	}
	for i, r := range rows {
		if math.IsNaN(r.Level+r.Volume) || math.IsInf(r.Level+r.Volume, 0) || r.Level < 0 || r.Volume < 0 {
			return nil, fmt.Errorf("row %d of the strapping table: level and volume must not be negative", i+1)
		}
		if i > 0 && (r.Level <= rows[i-1].Level || r.Volume <= rows[i-1].Volume) {
			return nil, fmt.Errorf("row %d of the strapping table: level and volume must be above those of the row before", i+1)
		}
	}
	return &table{append([]Row(nil), rows...)}, nil
}

func (t *table) Height() float64 { return t.rows[len(t.rows)-1].Level }

// cell is the index of the row at the upper end of the cell that holds level h.
func (t *table) cell(h float64) int {
	i := sort.Search(len(t.rows), func(i int) bool { return t.rows[i].Level > h })
	return min(max(i, 1), len(t.rows)-1)
}

func between(x, x0, x1, y0, y1 float64) float64 {
	share := (x - x0) / (x1 - x0)
	if share < 0 {
		share = 0
	} else if share > 1 {
		share = 1
	}
	return y0 + share*(y1-y0)
}

func (t *table) Volume(h float64) float64 {
	i := t.cell(h)
	a, b := t.rows[i-1], t.rows[i]
	return between(h, a.Level, b.Level, a.Volume, b.Volume)
}

func (t *table) Area(h float64) float64 {
	i := t.cell(h)
	a, b := t.rows[i-1], t.rows[i]
	return (b.Volume - a.Volume) / (b.Level - a.Level)
}

func (t *table) Level(v float64) float64 {
	i := sort.Search(len(t.rows), func(i int) bool { return t.rows[i].Volume > v })
	i = min(max(i, 1), len(t.rows)-1)
	a, b := t.rows[i-1], t.rows[i]
	return between(v, a.Volume, b.Volume, a.Level, b.Level)
}
