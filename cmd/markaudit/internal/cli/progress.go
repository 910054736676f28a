package cli

import (
	"fmt"
	"strings"

	"markaudit/cmd/markaudit/internal/world"
)

// progress counts sheets on one line of a terminal, for whoever waits.
type progress struct {
	env      world.World
	n, done  int
	line     string
	disabled bool
}

func newProgress(env world.World, n int) *progress {
	return &progress{env: env, n: n, disabled: !env.IsTerminal || n < 2}
}

func (p *progress) step() {
	p.done++
	if p.disabled || p.done*100/p.n == (p.done-1)*100/p.n {
		return // nothing new in whole percent
	}
	p.line = fmt.Sprintf("%d of %d sheets", p.done, p.n)
	fmt.Fprint(p.env.Stderr, "\r"+p.line)
}

// clear frees the line for something else.
func (p *progress) clear() {
	if p.line != "" {
		fmt.Fprint(p.env.Stderr, "\r"+strings.Repeat(" ", len(p.line))+"\r")
		p.line = ""
	}
}
