package visit

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func BenchmarkAppendDurable(b *testing.B) {
	s, _ := openTemp(b)
	e := event(b, "v1", 1, scriptedBodies()[6])
	for i := 0; b.Loop(); i++ {
		e.ID, e.Seq = fmt.Sprint("e", i), int64(i+1)
		require.NoError(b, s.Append(ctx, e))
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "events/s")
}

// manyVisits is a store with 10,000 visits of 13 events on 200 assets.
func manyVisits(b *testing.B) string {
	path := filepath.Join(b.TempDir(), "many.db")
	s, err := Open(path)
	require.NoError(b, err)
	var batch []Event
	for i := range 10_000 {
		for _, e := range scripted(b, fmt.Sprintf("%08x-visit", i*7919)) {
			e.At = e.At.Add(time.Duration(i) * time.Hour)
			if e.Kind == VisitBegun {
				e.Body = fmt.Appendf(nil, `{"site":"Quarry Lane glasshouse","asset":"HT-%d"}`, i%200)
			}
			batch = append(batch, e)
		}
		if len(batch) > 5000 || i == 9_999 {
			require.NoError(b, s.Append(ctx, batch...))
			batch = batch[:0]
		}
	}
	require.NoError(b, s.Close())
	return path
}

func BenchmarkOpen(b *testing.B) {
	path := filepath.Join(b.TempDir(), "small.db")
	for b.Loop() {
		s, err := Open(path)
		require.NoError(b, err)
		require.NoError(b, s.Close())
	}
}

func BenchmarkTenThousandVisits(b *testing.B) {
	path := manyVisits(b)
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			s, err := Open(path)
			require.NoError(b, err)
			require.NoError(b, s.Close())
		}
	})
	s, err := Open(path)
	require.NoError(b, err)
	defer s.Close()
	b.Run("list", func(b *testing.B) {
		for b.Loop() {
			list, err := s.Visits(ctx)
			require.NoError(b, err)
			require.Len(b, list, 10_000)
		}
	})
	b.Run("find", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Find(ctx, "4711")
			require.NoError(b, err)
		}
	})
	b.Run("asset", func(b *testing.B) {
		for b.Loop() {
			list, err := s.AssetVisits(ctx, "Quarry Lane glasshouse", "HT-7")
			require.NoError(b, err)
			require.Len(b, list, 50)
		}
	})
	b.Run("causes", func(b *testing.B) {
		for b.Loop() {
			causes, err := s.Causes(ctx)
			require.NoError(b, err)
			require.Len(b, causes, 1)
		}
	})
}
