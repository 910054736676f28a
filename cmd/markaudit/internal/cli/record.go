package cli

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/report/document"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/stream"
	"markaudit/cmd/markaudit/internal/terminal"
	"markaudit/cmd/markaudit/internal/world"
)

func newRecord(env world.World) *cobra.Command {
	c := &cobra.Command{
		Use:     "record SHEET",
		GroupID: "sheets",
		Short:   "Take the readings at the engine, step by step",
		Long: `record leads through a sheet's readings: the stop's contacts in pairs, the lines,
the closing pair. It says which way to turn next, what the readings tell so far,
and when they are enough. Every reading is on the disk before it is acknowledged.

The sheet needs engine, part, readout, limits and marks. The readings go into a
CSV file beside it, which record begins and names on the sheet where it names
none. Stop at any moment, and call record again to go on. At a terminal, a sheet
that is not there, or was begun by questions and is not finished, is asked first.

Numbers and words are read from standard input, a line each, so a readout that
types and a script can drive it. Type help for the words.

Exit status: 0 done; 2 a call or a sheet that cannot be used; 3 a reading that
could not be written down.`,
		Example: `markaudit record pump.yaml
markaudit record --export pump.yaml`,
		Args:              oneSheet,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	follow := streamFlags(c)
	export := c.Flags().Bool("export", false, "write the readings that stand in the sheet into a CSV file beside it, and name that instead")
	comma := c.Flags().Bool("decimal-comma", false, "with --export: semicolons between cells, commas in numbers")
	c.RunE = func(c *cobra.Command, args []string) error {
		if *comma && !*export {
			return bad(c, "found --decimal-comma without --export, expected both")
		}
		if *export {
			n, path, err := recorder.Export(env, args[0], *comma)
			if err != nil {
				return err
			}
			return document.Text(env.Stdout, document.Doc{document.Sentence{Text: fmt.Sprintf("%s written to %s, which the sheet now names. Its setups became comments.", phrase.Count(n, "reading"), phrase.Shown(strings.TrimPrefix(path, "./")))}})
		}
		if begun, err := beginSheet(&env, args[0]); err != nil || !begun {
			return err
		}
		r, err := recorder.Open(env, args[0])
		if err != nil {
			return err
		}
		defer r.Close()
		live, err := follow(env)
		if err != nil {
			return err
		}
		if live != nil {
			defer live.Close()
		}
		return terminal.Run(r, env.Stdin, env.Stdout, terminal.Options{Software: software, Person: env.Typed, Width: env.Width, Now: env.Now, Live: live})
	}
	return c
}

// beginSheet asks a person for a sheet that is not there, or that was begun by
// questions and is not finished. It reports whether readings can be taken. A script
// is asked nothing: for it, such a sheet is an error as ever.
func beginSheet(env *world.World, name string) (ready bool, err error) {
	if !env.Typed || name == world.StandardInput {
		return true, nil
	}
	job := askedSheet{env: *env, path: name}
	_, missing := os.Lstat(name)
	if err := job.begin(""); err != nil || missing == nil && (job.i.Ready() || !job.i.Begun()) {
		return true, nil // opening it says what is wrong, if anything is
	}
	in := bufio.NewReader(env.Stdin)
	if missing != nil {
		if err := document.Text(env.Stdout, document.Doc{document.Sentence{Text: fmt.Sprintf("There is no %s. Begin it? (yes, no)", phrase.Shown(name))}}); err != nil {
			return false, err
		}
		if _, err := io.WriteString(env.Stdout, "> "); err != nil {
			return false, err
		}
		answer, err := in.ReadString('\n')
		if err != nil && answer == "" || !strings.EqualFold(strings.TrimSpace(answer), "yes") {
			return false, document.Text(env.Stdout, document.Doc{document.Sentence{Text: "Nothing was begun."}})
		}
	}
	if err := job.ask(in); err != nil {
		return false, err
	}
	env.Stdin = in // what was read ahead is not lost
	return job.i.Ready(), nil
}

// streamFlags are those of a readout that streams. What it returns opens that, nil
// where none was named.
func streamFlags(c *cobra.Command) func(world.World) (*stream.Live, error) {
	source := c.Flags().String("stream", "", "a readout that sends its number again and again: a serial port as /dev/ttyUSB0@115200, a pipe, or a file that grows; an empty entry keeps what stands there")
	pick := c.Flags().String("stream-pick", "", "regular expression that finds the number in a line of it")
	return func(env world.World) (*stream.Live, error) {
		switch {
		case *source == "" && *pick == "":
			return nil, nil
		case *source == "":
			return nil, bad(c, "found --stream-pick alone, expected --stream beside it")
		}
		return stream.Open(*source, *pick, env.Now)
	}
}

func oneSheet(c *cobra.Command, args []string) error {
	if len(args) != 1 {
		return bad(c, "found %s, expected one sheet", phrase.Count(len(args), "argument"))
	}
	return nil
}
