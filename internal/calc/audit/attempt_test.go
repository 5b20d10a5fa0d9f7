package audit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An audit in two parts is the audit, however its faults are divided.
func TestAnAttemptIsAnAuditInTwoParts(t *testing.T) {
	ctx := context.Background()
	p := guarded()
	whole := single(t, p)
	for _, every := range []int{1, 2, 5, 1000} {
		n := 0
		a, err := Begin(ctx, p, MaxEvents, func(string) bool { n++; return n%every == 0 })
		require.NoError(t, err)
		part := a.Report()
		assert.Len(t, part.Faults, len(whole.Faults)/every)
		assert.Equal(t, whole.Nominal, part.Nominal)
		r, err := a.Whole(ctx)
		require.NoError(t, err)
		assert.Equal(t, whole.Faults, r.Faults)
		assert.Equal(t, whole.Contacts, r.Contacts)
		assert.Equal(t, whole.Findings, a.Findings())
		assert.GreaterOrEqual(t, r.Events, whole.Events, "what both parts share is followed twice")
	}
}

// A glimpse tells of a fault what the whole audit tells, for a small part of its events.
func TestAGlimpseTellsWhatTheAuditTells(t *testing.T) {
	p := bare()
	p.Attendance.LongestAbsenceH = ptr(72.0)
	whole := single(t, p)
	faults, followed := 0, 0
	for _, f := range whole.Faults {
		if f.Anyway() || f.Verdict == Held { // of a held one another room may have been told
			continue
		}
		got, events, err := Glimpse(context.Background(), p, MaxEvents, []RoomName{f.Room}, []string{f.Fault.ID})
		require.NoError(t, err)
		require.Len(t, got, 1, f.Fault.ID)
		assert.Equal(t, f.Verdict, got[0].Verdict, f.Fault.ID)
		assert.Equal(t, f.HarmH, got[0].HarmH, f.Fault.ID)
		assert.Equal(t, f.LossH, got[0].LossH, f.Fault.ID)
		faults, followed = faults+1, followed+events
	}
	require.Positive(t, faults)
	share := float64(followed) / float64(faults) / float64(whole.Events)
	assert.Less(t, share, 0.1)
	t.Logf("%d faults, each by %.3f of the audit's events", faults, share)
	_, _, err := Glimpse(context.Background(), p, 1, []RoomName{Usual}, nil)
	assert.Error(t, err, "it has a bound")
	got, _, err := Glimpse(context.Background(), p, MaxEvents, []RoomName{Usual}, []string{"nothing.breaks"})
	require.NoError(t, err)
	assert.Empty(t, got)
}
