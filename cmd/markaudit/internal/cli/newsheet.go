package cli

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/csvfile"
	"markaudit/audit/questions"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/paper"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/terminal"
	"markaudit/cmd/markaudit/internal/world"
)

func newNewSheet(env world.World) *cobra.Command {
	var output, paper outputName
	c := &cobra.Command{
		Use:     "new [SHEET]",
		GroupID: "sheets",
		Short:   "Print a sheet to fill in",
		Long: `new prints an empty sheet with a comment on every key. Fill it in at the engine,
then audit it. With --paper it writes a form to print and fill in by hand instead:
what it asks stands in the order of the work. With --study it writes a form for a
study of two stops, of a wheel or of a class: a CSV with every row but its number,
or with --paper the same rows to fill in by hand.

With --ask it asks for a job instead, one question at a time, and writes each
answer onto the sheet at once: SHEET, or one that is named after the job. What is
not known stays open. Asked again on the same sheet, it goes on from there.`,
		Example: `markaudit new --output pump.yaml
markaudit new --ask pump.yaml
markaudit new --ask --like pump.yaml pump-2.yaml
markaudit new --paper form.pdf
markaudit new --study stop --setups 5 --trials 5 --output stops.csv
markaudit new --study wheel --paper wheel.pdf --paper-size Letter`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	ask := c.Flags().Bool("ask", false, "ask for the job, one question at a time, and write the sheet")
	like := c.Flags().String("like", "", "with --ask: begin like this earlier sheet of the same type of engine")
	c.Flags().Var(&output, "output", "write the sheet to this file, unless there is one")
	c.Flags().Var(&paper, "paper", "write a form for paper to this file, unless there is one; its name ends in .pdf or .html")
	size := choose(c, "paper-size", "A4", "of the form on paper, as a PDF", "A4", "Letter")
	study := newBlankStudy(c)
	c.Args = func(c *cobra.Command, args []string) error {
		if err := study.check(string(paper)); err != nil {
			return err
		}
		if c.Flags().Changed("paper-size") && !strings.EqualFold(filepath.Ext(string(paper)), ".pdf") {
			return bad(c, "found --paper-size without --paper and a name that ends in .pdf, expected both: a page of HTML fits either")
		}
		switch {
		case *ask && (output != "" || paper != "" || study.kind.word != ""):
			return bad(c, "found --ask and another form, expected one of them")
		case *like != "" && !*ask:
			return bad(c, "found --like without --ask, expected both")
		case *ask && len(args) > 1:
			return bad(c, "found %s, expected one sheet or none", phrase.Count(len(args), "argument"))
		case *ask:
			return nil
		case paper == "":
		case output != "":
			return bad(c, "found --output and --paper, expected one of them")
		default:
			if err := drawable(c, env, string(paper), ".pdf", ".html"); err != nil {
				return err
			}
		}
		return noArguments(c, args)
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		switch {
		case *ask:
			job := askedSheet{env: env}
			if len(args) > 0 {
				job.path = args[0]
			}
			if err := job.begin(*like); err != nil {
				return err
			}
			return job.ask(bufio.NewReader(env.Stdin))
		case paper != "":
			form, err := study.form(string(paper), sizes[size.word])
			if err != nil {
				return err
			}
			return atomicwrite.WriteNew(string(paper), form)
		case study.kind.word != "":
			return study.write(env, string(output))
		case output != "":
			return atomicwrite.WriteNew(string(output), sheet.Blank())
		}
		_, err := io.WriteString(env.Stdout, sheet.Blank())
		return err
	}
	return c
}

// sizes of paper that a form or a record is drawn on.
var sizes = map[string]document.Paper{"A4": document.A4, "Letter": document.Letter} // only looked up

// form is the form on paper, of a study or of a sheet, as the file's name asks. A class
// has the order of the CSV of that name.
func (s blankStudy) form(name string, on document.Paper) (string, error) {
	page, title, pages := paper.FormHTML, paper.FormTitle, paper.FormPages
	if s.kind.word != "" {
		rows, err := csv.NewReader(strings.NewReader(s.csv(strings.TrimSuffix(name, filepath.Ext(name))+".csv", export.CSV{}))).ReadAll()
		if err != nil {
			return "", err
		}
		study := paper.StudyForm{Kind: s.kind.word, Rows: rows}
		page, title, pages = study.HTML, study.Title(), study.Pages
	}
	var b bytes.Buffer
	if strings.EqualFold(filepath.Ext(name), ".html") {
		err := page(&b)
		return b.String(), err
	}
	err := drawing.PDF(&b, title, pages(on))
	return b.String(), err
}

// askedSheet is a sheet that is filled in by questions.
type askedSheet struct {
	env   world.World
	path  string // empty until the job has a name
	i     questions.Interview
	begun bool // the file is there
}

// begin reads the sheet as far as it is filled in, or begins one, like an earlier
// one where that is named.
func (s *askedSheet) begin(like string) error {
	read := func(name string) (questions.Interview, error) {
		text, err := s.env.Read(name, sheet.MostSheetBytes, nil)
		if err != nil {
			return questions.Interview{}, fmt.Errorf("%s: %w", phrase.Shown(name), err)
		}
		return questions.Read(name, text, func(path string) ([]byte, error) {
			return s.env.Read(world.Beside(filepath.Dir(name), path), csvfile.MostBytes, nil)
		})
	}
	if s.path == world.StandardInput || like == world.StandardInput {
		return errors.New("found -, expected the name of a sheet: answers are written into it, and read from standard input")
	}
	s.i = questions.Begin()
	if _, err := os.Lstat(s.path); err == nil && s.path != "" {
		if like != "" {
			return fmt.Errorf("%s: it is there already, expected a new sheet with --like", phrase.Shown(s.path))
		}
		s.begun = true
		s.i, err = read(s.path)
		return err
	}
	if like != "" {
		earlier, err := read(like)
		if err != nil {
			return err
		}
		s.i = questions.Copy(earlier)
	}
	return nil
}

// ask asks what is open, and says how it goes on.
func (s *askedSheet) ask(in *bufio.Reader) error {
	i, err := terminal.Ask(s.i, in, s.env.Stdout, s.save)
	if s.i = i; err != nil || !s.begun {
		return err
	}
	text := "The sheet is " + phrase.Shown(s.path) + "."
	if i.Ready() {
		text += fmt.Sprintf(" `markaudit record %s` takes the readings.", phrase.Shown(s.path))
	} else {
		text += fmt.Sprintf(" `markaudit new --ask %s` goes on.", phrase.Shown(s.path))
	}
	return document.Text(s.env.Stdout, document.Doc{document.Sentence{Text: text}})
}

// save writes the sheet. What another hand has written meanwhile is not lost.
func (s *askedSheet) save(before, after []byte) error {
	if s.begun {
		now, err := s.env.Read(s.path, sheet.MostSheetBytes, nil)
		switch {
		case err != nil:
			return &world.Unwritten{To: s.path, Err: err}
		case !bytes.Equal(now, before):
			return &world.Unwritten{To: s.path, Err: errors.New("it was changed meanwhile, and the answer is not written; ask again, and it goes on from what it says now")}
		}
		return atomicwrite.Replace(s.path, after)
	}
	path := s.path
	if path == "" {
		path = s.named(after)
	}
	if err := atomicwrite.WriteNew(path, string(after)); err != nil {
		return err
	}
	s.path, s.begun = path, true
	return document.Text(s.env.Stdout, document.Doc{document.Sentence{Text: "The sheet is " + phrase.Shown(path) + "."}})
}

// named is a free name for a sheet, after its title.
func (s *askedSheet) named(text []byte) string {
	base := "job"
	if i, err := questions.Read("", text, nil); err == nil && i.FileName() != "" {
		base = i.FileName()
	}
	path := base + ".yaml"
	for n := 2; ; n++ {
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			return path
		}
		path = fmt.Sprintf("%s-%d.yaml", base, n)
	}
}

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
