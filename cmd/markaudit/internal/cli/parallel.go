package cli

import (
	"runtime"
)

// inOrder does work for 0 to n-1 on all processors and gives the results to
// take in that order. Only a few results wait for their turn at any time, so
// that memory does not grow with n. An error from take ends it.
func inOrder[T any](n int, work func(int) T, take func(int, T) error) error {
	workers := min(runtime.GOMAXPROCS(0), n)
	type job struct {
		i    int
		done chan T
	}
	jobs := make(chan job)
	turns := make(chan chan T, 4*workers)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(jobs)
		defer close(turns)
		for i := range n {
			j := job{i, make(chan T, 1)}
			select {
			case turns <- j.done:
			case <-stop:
				return
			}
			select {
			case jobs <- j:
			case <-stop:
				return
			}
		}
	}()
	for range workers {
		go func() {
			for j := range jobs {
				j.done <- work(j.i)
			}
		}()
	}
	i := 0
	for done := range turns {
		if err := take(i, <-done); err != nil {
			return err
		}
		i++
	}
	return nil
}
