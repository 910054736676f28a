package cli

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/world"
)

// blankStudy are the options of new for the form of a study.
type blankStudy struct {
	command                         *cobra.Command
	kind                            *choice
	setups, trials, stations, times *uint64
	people, lines                   *string
	comma                           *bool
}

func newBlankStudy(c *cobra.Command) blankStudy {
	f := c.Flags()
	return blankStudy{
		command: c, kind: choose(c, "study", "", "a form for a study instead, a CSV with every row but for its number", "stop", "wheel", "class"),
		setups: f.Uint64("setups", 5, "of a stop study: setups"), trials: f.Uint64("trials", 5, "of a stop study: pairs of each stop in a setup"),
		stations: f.Uint64("stations", 25, "of a wheel: stations round the circle, an odd number"), times: f.Uint64("times", 3, "of a class: how often everybody measures every line"),
		people: f.String("people", "", "of a class: `NAMES`, such as \"Ana, Bo\""), lines: f.String("lines", "", "of a class: `LINES`, such as \"T, 10 BTDC\""),
		comma: f.Bool("decimal-comma", false, "of a study: semicolons between cells, commas in numbers"),
	}
}

// blankOptions are those that belong to each study.
var blankOptions = map[string][]string{"stop": {"setups", "trials"}, "wheel": {"stations"}, "class": {"people", "lines", "times"}} // only looked up

const mostBlank = 1000 // setups, pairs, stations, times; beyond it nobody fills in a form

func (s blankStudy) check(paper string) error {
	if *s.comma && paper != "" {
		return bad(s.command, "found --decimal-comma and --paper, expected one of them: on paper everybody writes as he is used to")
	}
	for _, kind := range []string{"stop", "wheel", "class"} {
		for _, name := range blankOptions[kind] {
			if s.command.Flags().Changed(name) && kind != s.kind.word {
				return bad(s.command, "found --%s without --study %s, expected both", name, kind)
			}
		}
	}
	if *s.comma && s.kind.word == "" {
		return bad(s.command, "found --decimal-comma without --study, expected both")
	}
	for _, x := range []struct {
		name string
		n    uint64
	}{{"setups", *s.setups}, {"trials", *s.trials}, {"stations", *s.stations}, {"times", *s.times}} {
		if x.n == 0 || x.n > mostBlank {
			return bad(s.command, "--%s: found %d, expected 1 to %d", x.name, x.n, mostBlank)
		}
	}
	if s.kind.word == "class" && (len(namesIn(*s.people)) == 0 || len(namesIn(*s.lines)) == 0) {
		return bad(s.command, "found no --people or no --lines, expected both, such as --people \"Ana, Bo\" --lines \"T, 10 BTDC\"")
	}
	return nil
}

// namesIn are names between commas.
func namesIn(text string) (out []string) {
	for name := range strings.SplitSeq(text, ",") {
		if name = strings.TrimSpace(name); name != "" {
			out = append(out, name)
		}
	}
	return out
}

// csv is the form as a table; name, that of the file, decides the order of a class.
func (s blankStudy) csv(name string, c export.CSV) string {
	switch s.kind.word {
	case "stop":
		return c.BlankStops(int(*s.setups), int(*s.trials))
	case "wheel":
		return c.BlankWheel(int(*s.stations))
	}
	return c.BlankClass(name, namesIn(*s.people), namesIn(*s.lines), int(*s.times))
}

func (s blankStudy) write(env world.World, output string) error {
	text := s.csv(output, export.CSV{DecimalComma: *s.comma})
	if output != "" {
		return atomicwrite.WriteNew(output, text)
	}
	_, err := io.WriteString(env.Stdout, text)
	return err
}
