package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/rehearse"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

func newRehearse(env world.World) *cobra.Command {
	var output outputName
	var folder, open, answers fileName
	var seed uint64
	c := &cobra.Command{
		Use:     "rehearse [SCENARIO]",
		GroupID: "sheets",
		Short:   "Make a sheet of a virtual stand, its truth sealed beside it",
		Long: `rehearse lets apprentices audit a stand that does not exist. It writes a sheet, a
form for the answers, and the truth in a sealed file. With --open it opens the
seal and holds the truth against the audit and against the answers. Without a
scenario it lists them.

The seal only keeps from reading in passing. The same seed gives the same stand.`,
		Example: `markaudit rehearse one-line --seed 7
markaudit rehearse --open one-line-7.sealed --answers one-line-7-answers.csv`,
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	f := c.Flags()
	f.Uint64Var(&seed, "seed", 1, "`NUMBER` of the stand")
	f.Var(&folder, "write", "write the files into this `FOLDER`; where you are without")
	f.Var(&open, "open", "open this sealed file, its sheet beside it")
	f.Var(&answers, "answers", "the answers that were written down, a CSV")
	format := choose(c, "format", "text", "how to print what was opened", "text", "json", "markdown", "html")
	f.Var(&output, "output", "write what was opened to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) > 1:
			return bad(c, "found %s, expected one scenario", phrase.Count(len(args), "argument"))
		case open != "" && len(args) > 0:
			return bad(c, "found a scenario and --open, expected one of them")
		case open == "" && (answers != "" || output != ""):
			return bad(c, "found --answers or --output without --open, expected the sealed file too")
		}
		return nil
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		switch {
		case open != "":
			return written(env, string(output), func(replaced fs.FileInfo) ([]byte, error) {
				opened, err := openSeal(env, string(open), string(answers), replaced)
				if err != nil {
					return nil, err
				}
				return printed(func(w io.Writer) error {
					with := document.Options{Software: software}
					return show(w, format.word, report.Rehearsal(opened, with), nil, func(w io.Writer) error {
						return export.Rehearsal(w, opened, with)
					})
				})
			})
		case len(args) == 0:
			return document.Text(env.Stdout, report.Scenarios())
		}
		s, ok := rehearse.Find(args[0])
		if !ok {
			return bad(c, "found %s, no scenario\n  hint: `markaudit rehearse` lists them", phrase.Shown(args[0]))
		}
		return stage(env, s, seed, string(folder))
	}
	return c
}

// stage writes a rehearsal: sheet, form for the answers, sealed truth.
func stage(env world.World, s rehearse.Scenario, seed uint64, folder string) error {
	rng := rand.New(rand.NewPCG(seed, 0))
	measured, truth := s.Rig(rng).Measure(rng)
	text := "# " + s.About + "\n# Write your answers into " + s.Name + "-" + strconv.FormatUint(seed, 10) + "-answers.csv, then open the seal.\n" + sheet.Write(measured)
	name := filepath.Join(folder, fmt.Sprintf("%s-%d", s.Name, seed))
	read, _, err := sheet.Read(name+".yaml", []byte(text), nil)
	if err != nil {
		return fmt.Errorf("a fault of markaudit, please report it with the scenario and the seed: %w", err)
	}
	sealed, err := rehearse.Seal(rehearse.Sealed{Scenario: s.Name, Seed: seed, Digest: read.Digest, Story: s.Story, Truth: truth})
	if err != nil {
		return err
	}
	if folder != "" {
		if err := os.Mkdir(folder, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
			return &world.Unwritten{To: folder, Err: err}
		}
	}
	for _, file := range [][2]string{{name + ".yaml", text}, {name + "-answers.csv", export.Answers(truth)}, {name + ".sealed", sealed}} {
		if err := atomicwrite.WriteNew(file[0], file[1]); err != nil {
			return err
		}
		fmt.Fprintln(env.Stderr, "saved", phrase.Shown(file[0]))
	}
	_, err = fmt.Fprintln(env.Stdout, s.About)
	return err
}

// openSeal opens a sealed rehearsal with the sheet beside it.
func openSeal(env world.World, path, answers string, replaced fs.FileInfo) (o rehearse.Opened, err error) {
	const most = 1 << 20
	data, called, err := env.Whole(path, most, replaced)
	if err != nil {
		return o, err
	}
	sealed, err := rehearse.Open(string(data))
	if err != nil {
		return o, fmt.Errorf("%s: %w", phrase.Shown(called), err)
	}
	s, positions, err := sheetFile(env, strings.TrimSuffix(path, ".sealed")+".yaml", replaced)
	if err != nil {
		return o, err
	}
	var given []rehearse.Answer
	if answers != "" {
		data, called, err := env.Whole(answers, csvfile.MostBytes, replaced)
		if err != nil {
			return o, err
		}
		if given, err = rehearse.ReadAnswers(called, data); err != nil {
			return o, err
		}
	}
	o, err = rehearse.Compare(sealed, s, given)
	var faults inputerror.List
	var refusal *geometry.Refusal
	switch {
	case errors.As(err, &faults):
		err = positions.Explain(faults)
	case errors.As(err, &refusal):
		err = fmt.Errorf("%s: %w", phrase.Shown(path), refusal)
	}
	return o, err
}
