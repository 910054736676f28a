package cli

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/jobrecord"
	"markaudit/audit/rehearse"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/lesson"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

func newRehearse(env world.World) *cobra.Command {
	var output outputName
	var folder, open, answers, openAll, names fileName
	var seed, batch uint64
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
	f.Uint64Var(&batch, "batch", 0, "write so many stands at once, each with a seal and a form of its own; with --write and --names")
	f.Var(&names, "names", "a list of the apprentices of a batch, a name a line")
	f.Var(&openAll, "open-batch", "open all seals of the batch in this `FOLDER`, with the answers beside them: one table for the instructor")
	format := choose(c, "format", "text", "how to print what was opened", "text", "json", "csv", "markdown", "html", "pdf")
	s := newStudy(c, format, "right", "every answer must have its points, of everybody in a batch")
	f.Var(&output, "output", "write what was opened to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) > 1:
			return bad(c, "found %s, expected one scenario", phrase.Count(len(args), "argument"))
		case openAll != "" && (open != "" || len(args) > 0 || answers != ""):
			return bad(c, "found --open-batch beside a scenario, --open or --answers, expected it alone: answers lie in the folder")
		case batch > mostBatch:
			return bad(c, "--batch: found %d, expected at most %d", batch, mostBatch)
		case f.Changed("batch") && (batch == 0 || names == "" || folder == "" || len(args) == 0):
			return bad(c, "found --batch without one of a number above zero, a scenario, --names and --write, expected all of them")
		case !f.Changed("batch") && names != "":
			return bad(c, "found --names without --batch, expected both")
		case open != "" && len(args) > 0:
			return bad(c, "found a scenario and --open, expected one of them")
		case open == "" && openAll == "" && (answers != "" || output != ""):
			return bad(c, "found --answers or --output without --open, expected the sealed file too")
		case open == "" && openAll == "" && (s.record != "" || s.require.word != ""):
			return bad(c, "found --job-record or --require without --open or --open-batch, expected a seal to open")
		case *s.comma && len(args) > 0: // of the form for the answers
			return nil
		}
		return s.check()
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		switch {
		case openAll != "":
			return openedTo(env, s, string(output), func(replaced fs.FileInfo) (opening, error) { return openBatch(env, string(openAll), replaced) })
		case open != "":
			return openedTo(env, s, string(output), func(replaced fs.FileInfo) (opening, error) {
				return openSeal(env, string(open), string(answers), replaced)
			})
		case len(args) == 0:
			return document.Text(env.Stdout, report.Scenarios())
		}
		scenario, ok := rehearse.Find(args[0])
		if !ok {
			return bad(c, "found %s, no scenario\n  hint: `markaudit rehearse` lists them", phrase.Shown(args[0]))
		}
		if batch > 0 {
			return stageBatch(env, s.csv(), scenario, seed, int(batch), string(folder), string(names))
		}
		return stage(env, s.csv(), scenario, seed, string(folder), "", "")
	}
	return c
}

// mostBatch bounds a batch; no class is larger.
const mostBatch = 500

// stage writes a rehearsal: sheet, form for the answers, sealed truth. In a batch
// its files have a number in place of the seed, which only the instructor knows.
func stage(env world.World, csv export.CSV, s rehearse.Scenario, seed uint64, folder, number, apprentice string) error {
	called := fmt.Sprintf("%s-%d", s.Name, seed)
	if number != "" {
		called = s.Name + "-" + number
	}
	stand, err := lesson.Stage(csv, s, seed, called, apprentice)
	if err != nil {
		return err
	}
	if folder != "" {
		if err := os.Mkdir(folder, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
			return &world.Unwritten{To: folder, Err: err}
		}
	}
	if err := stand.Write(env, folder, func(path string) { fmt.Fprintln(env.Stderr, "saved", phrase.Shown(path)) }); err != nil {
		return err
	}
	if number != "" {
		_, err = fmt.Fprintln(env.Stdout, called+": "+inputerror.Visible(apprentice))
		return err
	}
	_, err = fmt.Fprintln(env.Stdout, s.About)
	return err
}

// batchFile lists a batch.
const batchFile = "batch.json"

// batchList is what batch.json holds. Digests are of the sheets as they were
// written.
type batchList struct {
	Format   int          `json:"format"`
	Software string       `json:"software"`
	Scenario string       `json:"scenario"`
	Seed     uint64       `json:"seed"`
	Stands   []batchStand `json:"stands"`
}

type batchStand struct {
	Name   string `json:"name"`
	File   string `json:"file"` // without its ending
	Seed   uint64 `json:"seed"`
	Digest string `json:"sha256"`
}

// stageBatch writes a stand for each apprentice. The seed of each comes by SHA-256
// from that of the batch and the name, so that none tells a neighbour's.
func stageBatch(env world.World, csv export.CSV, s rehearse.Scenario, seed uint64, count int, folder, list string) error {
	names, err := classList(env, list, nil)
	if err != nil {
		return err
	}
	if len(names) != count {
		return fmt.Errorf("%s: found %s, expected %d as --batch says", phrase.Shown(list), phrase.Count(len(names), "name"), count)
	}
	out := batchList{Format: 1, Software: software, Scenario: s.Name, Seed: seed}
	seen := map[string]bool{}
	for i, name := range names {
		if seen[name] {
			return fmt.Errorf("%s: found %s twice, expected every name once", phrase.Shown(list), phrase.Shown(name))
		}
		seen[name] = true
		sum := sha256.Sum256([]byte(strconv.FormatUint(seed, 10) + "\n" + name))
		own := binary.BigEndian.Uint64(sum[:]) >> 16 // a number that every program keeps whole
		number := fmt.Sprintf("%03d", i+1)
		if err := stage(env, csv, s, own, folder, number, name); err != nil {
			return err
		}
		file := s.Name + "-" + number
		data, err := env.Read(filepath.Join(folder, file+".yaml"), sheet.MostSheetBytes, nil)
		if err != nil {
			return err
		}
		digest := sha256.Sum256(data)
		out.Stands = append(out.Stands, batchStand{name, file, own, hex.EncodeToString(digest[:])})
	}
	data, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return err
	}
	return atomicwrite.WriteNew(filepath.Join(folder, batchFile), string(data)+"\n")
}

// opening is what was opened, with the files that were read.
type opening struct {
	all   []rehearse.Opened
	batch bool
	name  string
	files [][]jobrecord.File // of each
}

// read are all files, each once.
func (o opening) read() (all []jobrecord.File) {
	for _, files := range o.files {
		for _, f := range files {
			if !slices.Contains(all, f) {
				all = append(all, f)
			}
		}
	}
	return all
}

// right reports whether every answer has its points. Who handed in nothing has none.
func (o opening) right() bool {
	for _, one := range o.all {
		if points, of := one.Points(); one.Score == nil || points < of {
			return false
		}
	}
	return true
}

// openedTo writes what was opened to a file or to standard output.
func openedTo(env world.World, s *study, output string, open func(replaced fs.FileInfo) (opening, error)) error {
	var unmet error
	err := written(env, output, func(replaced fs.FileInfo) ([]byte, error) {
		o, err := open(replaced)
		if err != nil {
			return nil, err
		}
		unmet = s.met(o.right(), o.name, "answers without their points")
		rec, err := s.block(env, jobrecord.MarkingRule, replaced, o.read()...)
		if err != nil {
			return nil, err
		}
		var own []jobrecord.Record
		for _, files := range o.files {
			one := rec
			one.Files = files
			own = append(own, one)
		}
		return printed(func(w io.Writer) error {
			if o.batch && s.format.word == "json" {
				return export.Batch(w, o.all, own)
			}
			with := document.Options{Software: software}
			doc, figures := report.Batch(o.all), func() []drawing.Scene { return nil }
			if !o.batch {
				doc, figures = report.Rehearsal(o.all[0], with), func() []drawing.Scene { return figure.Rehearsal(o.all[0]) }
			}
			return s.shown(w, rec, doc, figures, func(w io.Writer) error { return export.Rehearsal(w, o.all[0], with) },
				func(w io.Writer) error { return s.csv().Batch(w, o.all, own) })
		})
	})
	if err == nil {
		err = unmet
	}
	return err
}

// openBatch opens all seals of a batch, in the order of its list. Answers that are
// not there, or of which nothing is filled in, are absent.
func openBatch(env world.World, folder string, replaced fs.FileInfo) (opened opening, err error) {
	path := filepath.Join(folder, batchFile)
	data, called, err := env.Whole(path, 1<<20, replaced)
	if err != nil {
		return opened, err
	}
	opened = opening{batch: true, name: path}
	listed := jobrecord.FileOf(called, data)
	var list batchList
	if err := json.Unmarshal(data, &list); err != nil || list.Format != 1 || len(list.Stands) == 0 {
		return opened, fmt.Errorf("%s: found no list of a batch, expected what `markaudit rehearse --batch` wrote", phrase.Shown(path))
	}
	for _, stand := range list.Stands {
		if stand.File != filepath.Base(stand.File) {
			return opened, fmt.Errorf("%s: found the file %s, expected one in the same folder", phrase.Shown(path), phrase.Shown(stand.File))
		}
		name := filepath.Join(folder, stand.File)
		answers := name + "-answers.csv"
		if _, err := os.Stat(answers); errors.Is(err, fs.ErrNotExist) {
			answers = ""
		}
		one, err := openSeal(env, name+".sealed", answers, replaced)
		if err != nil {
			return opened, err
		}
		o := one.all[0]
		if o.Answered == 0 {
			o.Score = nil
		}
		o.Name = stand.Name
		opened.all, opened.files = append(opened.all, o), append(opened.files, append([]jobrecord.File{listed}, one.files[0]...))
	}
	return opened, nil
}

// openSeal opens a sealed rehearsal with the sheet beside it.
func openSeal(env world.World, path, answers string, replaced fs.FileInfo) (opened opening, err error) {
	const most = 1 << 20
	data, called, err := env.Whole(path, most, replaced)
	if err != nil {
		return opened, err
	}
	opened = opening{name: path}
	files := []jobrecord.File{jobrecord.FileOf(called, data)}
	sealed, err := rehearse.Open(string(data))
	if err != nil {
		return opened, fmt.Errorf("%s: %w", phrase.Shown(called), err)
	}
	s, positions, err := sheetFile(env, strings.TrimSuffix(path, ".sealed")+".yaml", replaced)
	if err != nil {
		return opened, err
	}
	files = append(files, jobrecord.File{Name: filepath.Base(positions.Name()), Digest: s.Digest})
	var given rehearse.Answers
	if answers != "" {
		data, called, err := env.Whole(answers, csvfile.MostBytes, replaced)
		if err != nil {
			return opened, err
		}
		files = append(files, jobrecord.FileOf(called, data))
		if len(sealed.Hands) > 0 {
			given.Hands, err = rehearse.ReadHands(called, data)
		} else {
			given, err = rehearse.ReadAnswers(called, data)
		}
		if err != nil {
			return opened, err
		}
	}
	o, err := rehearse.Mark(sealed, s, given)
	var faults inputerror.List
	var refusal *geometry.Refusal
	switch {
	case errors.As(err, &faults):
		err = positions.Explain(faults)
	case errors.As(err, &refusal):
		err = fmt.Errorf("%s: %w", phrase.Shown(path), refusal)
	}
	opened.all, opened.files = []rehearse.Opened{o}, [][]jobrecord.File{files}
	return opened, err
}
