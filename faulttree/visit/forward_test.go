package visit

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestForwardSendsOnceInOrderAndLater(t *testing.T) {
	stores(t, func(t *testing.T, office Store) {
		s, _ := openTemp(t)
		es := scripted(t, "v1")
		require.NoError(t, s.Append(ctx, es[:5]...))
		down := errors.New("no route to the office")
		broken := flaky{office, &down, false}
		sent, err := s.Forward(ctx, "office", broken)
		require.ErrorContains(t, err, "sent next time")
		assert.Zero(t, sent)
		require.NoError(t, s.Append(ctx, es[5:]...), "the visit goes on")
		n, err := s.Unsent(ctx, "office")
		require.NoError(t, err)
		assert.EqualValues(t, len(es), n)
		down = nil
		for _, want := range []int{len(es), 0} {
			sent, err = s.Forward(ctx, "office", broken)
			require.NoError(t, err)
			assert.Equal(t, want, sent)
		}
		got, err := office.Events(ctx, "v1")
		require.NoError(t, err)
		assert.Equal(t, es, got)
	})
}

func TestForwardManyTechniciansToOneOffice(t *testing.T) {
	stores(t, func(t *testing.T, office Store) {
		for i := range 3 {
			s, _ := openTemp(t)
			for j := range 40 {
				require.NoError(t, s.Append(ctx, scripted(t, fmt.Sprintf("tech%d-visit%d", i, j))...))
			}
			sent, err := s.Forward(ctx, "office", office)
			require.NoError(t, err)
			assert.Equal(t, 40*13, sent, "more than one batch")
		}
		list, err := office.Visits(ctx)
		require.NoError(t, err)
		require.Len(t, list, 120)
		for _, m := range list {
			assert.EqualValues(t, 13, m.Events)
			assert.Equal(t, MendedProven, m.Outcome)
		}
	})
}

func TestOfficeSchemaOfANewerProgramIsLeftAlone(t *testing.T) {
	s := openOffice(t)
	again, err := OpenPostgres(ctx, s.db.DB, "again")
	require.NoError(t, err, "opening twice changes nothing")
	require.NoError(t, again.Append(ctx, scripted(t, "v1")...))
	_, err = s.db.Exec("INSERT INTO tankhand_schema VALUES (99)")
	require.NoError(t, err)
	_, err = OpenPostgres(ctx, s.db.DB, "newer")
	require.ErrorIs(t, err, errNewer)
}
