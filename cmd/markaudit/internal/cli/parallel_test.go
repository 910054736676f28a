package cli

import (
	"errors"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
)

// The results come in order, though each 97th falls behind the next.
func TestInOrder(t *testing.T) {
	const n, workers = 1000, 4
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(workers))
	var running, most atomic.Int64
	var got []int
	var ahead [n]chan struct{}
	for i := range ahead {
		ahead[i] = make(chan struct{})
	}
	err := inOrder(n, func(i int) int {
		most.Store(max(most.Load(), running.Add(1)))
		defer running.Add(-1)
		defer close(ahead[i])
		if i%97 == 0 {
			<-ahead[i+1]
		}
		return i * i
	}, func(i, square int) error {
		if square != i*i {
			t.Fatalf("the turn of %d came with %d", i, square)
		}
		got = append(got, i)
		return nil
	})
	if err != nil || len(got) != n || !slices.IsSorted(got) {
		t.Errorf("took %d in order %v, %v; want all %d", len(got), slices.IsSorted(got), err, n)
	}
	if most.Load() > workers {
		t.Errorf("%d worked at a time, want at most %d", most.Load(), workers)
	}
}

// An error of take ends the work, and leaves no goroutine behind: the bubble fails
// where one stays blocked.
func TestInOrderStops(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var worked atomic.Int64
		full := errors.New("full")
		err := inOrder(1_000_000, func(i int) int { worked.Add(1); return i }, func(i, _ int) error {
			if i == 10 {
				return full
			}
			return nil
		})
		if !errors.Is(err, full) {
			t.Errorf("got %v, want the error of take", err)
		}
		synctest.Wait()
		if n := worked.Load(); n > 1000 {
			t.Errorf("%d were worked on after the end, want only what was under way", n)
		}
	})
}
