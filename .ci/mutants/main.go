// Command mutants asks whether the tests would notice a mistake. It changes one
// operator, number, comparison or absolute value at a time and runs the short
// tests of the changed package. The tree stays as it is: the changed file takes
// the place of its original by go test -overlay.
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"
)

const home = ".ci/mutants/" // of the lists, from the top of the tree

type options struct {
	places  int
	seed    uint64
	one     time.Duration // for the tests of one mutant
	all     time.Duration
	least   float64 // share that must be noticed
	workers int
	list    bool
	match   string // regular expression that a place's key must match
}

func main() {
	var o options
	flag.IntVar(&o.places, "n", 100, "places to try")
	flag.Uint64Var(&o.seed, "seed", 20261125, "seed of the draw")
	flag.DurationVar(&o.one, "timeout", 2*time.Minute, "time for the tests of one package with one change; longer counts as noticed")
	flag.DurationVar(&o.all, "within", 35*time.Minute, "time for all; places left then are not tried")
	flag.Float64Var(&o.least, "least", 0.9, "share of the changes that the tests must notice")
	flag.IntVar(&o.workers, "j", runtime.NumCPU(), "changes tried at the same time")
	flag.BoolVar(&o.list, "list", false, "list the places in the order of the draw and try none")
	flag.StringVar(&o.match, "match", "", "try only places whose line of the list matches this regular expression")
	flag.Parse()
	if err := run(o, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "mutants:", err)
		os.Exit(1)
	}
}

func run(o options, packages []string) error {
	named := len(packages) > 0
	if !named {
		var err error
		if packages, err = lines(home + "packages"); err != nil {
			return err
		}
	}
	all, err := gather(packages, named)
	if err != nil {
		return err
	}
	equal, err := equivalent(home + "equivalent")
	if err != nil {
		return err
	}
	places, stale := leaveOut(all, equal, packages)
	for _, s := range stale {
		fmt.Println("equivalent: fits no place any more, take it off:", s)
	}
	wanted, err := regexp.Compile(o.match)
	if err != nil {
		return fmt.Errorf("-match: %w", err)
	}
	order := slices.DeleteFunc(drawn(places, o.seed), func(p place) bool { return !wanted.MatchString(p.key()) })
	if o.list {
		for _, p := range order {
			fmt.Printf("%d: %s\n", p.line, p.key())
		}
		return nil
	}
	b, err := newBench(o)
	if err != nil {
		return err
	}
	defer os.RemoveAll(b.scratch)
	if err := b.healthy(order); err != nil {
		return err
	}
	tried, noticed := b.try(order)
	fmt.Printf("%d of %d changes noticed (%d places, %d known to change nothing)\n", noticed, tried, len(all), len(all)-len(places))
	switch {
	case tried == 0:
		return errors.New("no change could be tried")
	case len(stale) > 0:
		return fmt.Errorf("%d lines of %sequivalent fit no place", len(stale), home)
	case float64(noticed) < o.least*float64(tried):
		return fmt.Errorf("expected at least %.0f %% noticed: write a test for a survivor, or put it into %sequivalent with a reason", 100*o.least, home)
	}
	return nil
}

// lines returns the lines of a list without comments.
func lines(name string) ([]string, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []string
	for s := bufio.NewScanner(f); s.Scan(); {
		if text := strings.TrimSpace(s.Text()); text != "" && !strings.HasPrefix(text, "#") {
			out = append(out, text)
		}
	}
	return out, nil
}

// gather returns the places of the packages. A package of the list need not be
// there, one named by hand must.
func gather(packages []string, named bool) ([]place, error) {
	var all []place
	for _, folder := range packages {
		found, err := placesOf(path.Clean(filepath.ToSlash(folder)))
		if err != nil {
			return nil, err
		}
		if len(found) == 0 && named {
			return nil, fmt.Errorf("%s: no Go source to change, expected a package's folder such as audit/wheel", folder)
		}
		all = append(all, found...)
	}
	return all, nil
}

// equivalent reads which changes are known to change nothing that a test could
// ask for. A line is the key of a place and a reason, with " | " between them.
func equivalent(name string) (map[string]bool, error) {
	all, err := lines(name)
	if err != nil {
		return nil, err
	}
	keys := map[string]bool{}
	for _, l := range all {
		parts := strings.Split(l, " | ")
		if len(parts) < 4 || strings.TrimSpace(parts[len(parts)-1]) == "" {
			return nil, fmt.Errorf("%s: %q: expected file | function | before → after | reason", name, l)
		}
		keys[strings.Join(parts[:len(parts)-1], " | ")] = true
	}
	return keys, nil
}

// leaveOut takes the equivalent places off, and returns the entries for the
// packages at hand that fit none.
func leaveOut(all []place, equal map[string]bool, packages []string) (places []place, stale []string) {
	fits := map[string]bool{}
	for _, p := range all {
		if key := p.key(); equal[key] {
			fits[key] = true
		} else {
			places = append(places, p)
		}
	}
	for key := range equal {
		file, _, _ := strings.Cut(key, " | ")
		if !fits[key] && slices.Contains(packages, path.Dir(file)) {
			stale = append(stale, key)
		}
	}
	slices.Sort(stale)
	return places, stale
}

// bench is where changes are tried.
type bench struct {
	options
	top, scratch string
	ends         time.Time
}

func newBench(o options) (*bench, error) {
	top, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	scratch, err := os.MkdirTemp("", "mutants")
	if err != nil {
		return nil, err
	}
	return &bench{options: o, top: top, scratch: scratch, ends: time.Now().Add(o.all)}, nil
}

// outcome is what became of a change.
type outcome int

const (
	untried outcome = iota
	doesNotCompile
	noticed
	survived
)

// healthy runs the tests without any change: only then does a failure mean that
// a change was noticed. It fills the build cache, too.
func (b *bench) healthy(order []place) error {
	done := map[string]bool{}
	for _, p := range order {
		pkg := path.Dir(p.file)
		if done[pkg] {
			continue
		}
		done[pkg] = true
		if got, output := b.test(pkg, ""); got != survived {
			return fmt.Errorf("the tests of %s fail without any change:\n%s", pkg, output)
		}
	}
	return nil
}

// try tries changes in their order until enough of them compiled, prints those that
// no test noticed, and returns how many compiled and how many were noticed.
func (b *bench) try(order []place) (tried, seen int) {
	results := make([]outcome, len(order))
	var (
		lock  sync.Mutex
		next  int
		ready int // compiled so far
		wait  sync.WaitGroup
	)
	take := func() int {
		lock.Lock()
		defer lock.Unlock()
		if next == len(order) || ready >= b.places || time.Now().After(b.ends) {
			return -1
		}
		next++
		return next - 1
	}
	for range b.workers {
		wait.Go(func() {
			for i := take(); i >= 0; i = take() {
				got := b.change(i, order[i])
				lock.Lock()
				results[i] = got
				if got == survived {
					fmt.Printf("%s:%d survives: %s\n", order[i].file, order[i].line, order[i].key())
				}
				if got != doesNotCompile {
					ready++
				}
				lock.Unlock()
			}
		})
	}
	wait.Wait()
	for _, got := range results {
		if got == untried || got == doesNotCompile {
			continue
		}
		if tried++; got == noticed {
			seen++
		}
		if tried == b.places {
			break // what another worker tried beyond is left out, so that the draw is one
		}
	}
	return tried, seen
}

// change tries one change.
func (b *bench) change(i int, p place) outcome {
	original, err := os.ReadFile(p.file)
	if err != nil {
		return doesNotCompile
	}
	changed := filepath.Join(b.scratch, fmt.Sprintf("%d.go", i))
	overlay := filepath.Join(b.scratch, fmt.Sprintf("%d.json", i))
	told, err := json.Marshal(map[string]map[string]string{"Replace": {filepath.Join(b.top, filepath.FromSlash(p.file)): changed}})
	if err == nil {
		err = errors.Join(os.WriteFile(changed, p.source(original), 0o600), os.WriteFile(overlay, told, 0o600))
	}
	if err != nil {
		return doesNotCompile
	}
	got, _ := b.test(path.Dir(p.file), overlay)
	return got
}

// test runs the short tests of a package. One that takes too long counts as
// noticed: a person would not wait either.
func (b *bench) test(pkg, overlay string) (outcome, string) {
	limit, cancel := context.WithTimeout(context.Background(), 2*b.one+time.Minute) // with building
	defer cancel()
	args := []string{"test", "-short", "-failfast", "-vet=off", "-ldflags=-s -w", "-p=1", "-cpu=1", "-timeout=" + b.one.String()}
	if overlay != "" {
		args = append(args, "-overlay="+overlay)
	}
	command := exec.CommandContext(limit, "go", append(args, "./"+pkg)...)
	command.WaitDelay = 10 * time.Second // a test binary may outlive go
	output, err := command.CombinedOutput()
	switch {
	case err == nil:
		return survived, ""
	case strings.Contains(string(output), "[build failed]"), strings.Contains(string(output), "[setup failed]"):
		return doesNotCompile, string(output)
	}
	return noticed, string(output)
}
