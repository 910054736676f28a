package stream

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/geometry"
)

// approach is one way to a contact and 25 degrees away from it again: with pauses for
// another grip on the way, some within six degrees of the stop, sometimes pressed too
// hard and let go, and noise of 0.02 degrees. It returns what the readout shows there.
func approach(rng *rand.Rand, show func(value float64), sign, regrip float64) (contact float64) {
	contact = math.Round(rng.Float64()*36000) / 100
	at := contact - sign*30
	put := func() { show(math.Mod(at+0.02*rng.NormFloat64()+720, 360)) }
	stands := func(seconds float64) {
		for range int(seconds / 0.05) {
			put()
		}
	}
	to := func(end float64) {
		for speed := 0.4 + rng.Float64(); math.Abs(end-at) > speed; put() {
			at += math.Copysign(speed, end-at)
		}
		at = end
		put()
	}
	stands(0.4)
	if rng.Float64() < regrip {
		to(contact - sign*(0.6+5.4*rng.Float64()))
		stands(0.5 + 2*rng.Float64())
	}
	if rng.Float64() < 0.3 {
		to(contact + sign*0.3)
		stands(0.2)
	}
	to(contact)
	stands(0.9 + 1.2*rng.ExpFloat64())
	if rng.Float64() < regrip { // another grip on the way back
		to(contact - sign*(3+10*rng.Float64()))
		stands(0.5 + 2*rng.Float64())
	}
	to(contact - sign*25)
	return contact
}

// A contact is where the engine stood before it was turned round: however the hand
// pauses on the way, none is kept that is off by more than 0.15 degrees, and none is
// missed. A rule by the standstill alone keeps every pause.
func TestContactIsWhereItTurnedRound(t *testing.T) {
	n := 100
	if os.Getenv("MARKAUDIT_LONG") != "" {
		n = 20_000
	}
	for _, regrip := range []float64{0.1, 0.3} {
		rng := rand.New(rand.NewPCG(8, 15))
		wrong, missed, early := 0, 0, 0
		for k := range n {
			sign := float64(1 - 2*(k%2))
			now := testsheet.Noon()
			l := &Live{now: func() time.Time { return now }}
			l.Turned("step", sign > 0, 0.1)
			contact := approach(rng, func(value float64) {
				now = now.Add(50 * time.Millisecond)
				l.take(strconv.FormatFloat(value, 'f', 2, 64), nil)
			}, sign, regrip)
			got := l.Turned("step", sign > 0, 0.1)
			if got.Stood == "" {
				missed++
				continue
			}
			value, err := strconv.ParseFloat(got.Stood, 64)
			if err != nil || geometry.Angle(value-contact).Wrap().Abs() > 0.15 {
				wrong++
			}
			if got.Against {
				t.Fatal("the way that was asked for is called the other one")
			}
			for _, s := range l.turning.stands[:max(0, len(l.turning.stands)-1)] {
				if (s.at - l.turning.stands[len(l.turning.stands)-1].at).Abs() > 0.6 {
					early++
					break
				}
			}
		}
		t.Logf("another grip in %.0f %%: of %d contacts %d wrong, %d missed; %d had another standstill", 100*regrip, n, wrong, missed, early)
		if wrong > 0 || missed > 0 {
			t.Errorf("another grip in %.0f %%: %d wrong, %d missed", 100*regrip, wrong, missed)
		}
		if early == 0 {
			t.Error("no hand changed its grip: the test shows nothing")
		}
	}
}

// Turned the other way than was asked for is told; a new step begins anew.
func TestTurnedTheOtherWay(t *testing.T) {
	now := testsheet.Noon()
	l := &Live{now: func() time.Time { return now }}
	shows := func(from, to int) {
		for x := from; x != to; x += (to - from) / max(to-from, from-to) {
			now = now.Add(100 * time.Millisecond)
			l.take(strconv.Itoa((x+360)%360), nil)
		}
	}
	l.Turned("a", true, 1)
	shows(5, -10)
	if got := l.Turned("a", true, 1); got.Against {
		t.Error("fifteen degrees are no way yet")
	}
	shows(-10, -20)
	if got := l.Turned("a", true, 1); !got.Against || got.Stood != "" {
		t.Errorf("got %+v", got)
	}
	if got := l.Turned("b", true, 1); got != (Turned{}) {
		t.Errorf("a new step: %+v", got)
	}
}
