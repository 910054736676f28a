package cli

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"markaudit/audit/jobrecord"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// study is what the commands of all studies have: the record block, a result that
// may be asked for, CSV.
type study struct {
	command *cobra.Command
	format  *choice
	record  fileName
	require *choice
	comma   *bool
}

// newStudy adds the options of a study. wanted is the word for --require.
func newStudy(c *cobra.Command, format *choice, wanted, what string) *study {
	s := &study{command: c, format: format}
	c.Flags().Var(&s.record, "job-record", "what a tool room files with it: instruments, conditions, by, date, revision; a `FILE` in YAML")
	s.require = choose(c, "require", "", what+"; else the exit status is 1", wanted)
	s.comma = c.Flags().Bool("decimal-comma", false, "with --format csv: semicolons between cells, commas in numbers")
	return s
}

// check refuses options that do not go together.
func (s *study) check() error {
	if err := formatByName(s.command); err != nil {
		return err
	}
	if *s.comma && s.format.word != "csv" {
		return bad(s.command, "found --decimal-comma without --format csv, expected both")
	}
	return nil
}

func (s *study) csv() export.CSV { return export.CSV{DecimalComma: *s.comma} }

// of the call, these say how it is printed and not what is computed.
var onlyPrinted = map[string]bool{ // only looked up
	"format": true, "output": true, "job-record": true, "help": true, "require": true, "decimal-comma": true, "slips": true, "write": true,
	"seed": true, "batch": true, "open": true, "open-batch": true, "answers": true, "names": true, // files, and those are listed
}

// block is the record of a study: what was read, and with what settings.
func (s *study) block(env world.World, rule string, replaced fs.FileInfo, files ...jobrecord.File) (jobrecord.Record, error) {
	var r jobrecord.Record
	if s.record != "" {
		data, called, err := env.Whole(string(s.record), 1<<20, replaced)
		if err != nil {
			return r, err
		}
		if r, err = jobrecord.Read(called, data); err != nil {
			return r, err
		}
	}
	if r.Rule == "" {
		r.Rule = rule
	}
	r.Software, r.Files = software, files
	s.command.Flags().VisitAll(func(f *pflag.Flag) {
		if !onlyPrinted[f.Name] && f.Value.String() != "" {
			r.Asked = append(r.Asked, jobrecord.Asked{Name: f.Name, Value: f.Value.String(), Stated: f.Changed})
		}
	})
	return r, nil
}

// shown writes a study with its record in the format that was asked for.
func (s *study) shown(w io.Writer, r jobrecord.Record, d document.Doc, figures func() []drawing.Scene, json func(io.Writer) error, csv func(io.Writer) error) error {
	switch s.format.word {
	case "csv":
		return csv(w)
	case "json":
		return export.Recorded(w, r, json)
	}
	return show(w, s.format.word, report.Recorded(d, r, onPaper(s.format.word)), figures, nil)
}

// unmet ends a command whose result is not what --require asks for.
type unmet string

func (u unmet) Error() string { return string(u) }

// met returns nil where nothing was required, or it is so.
func (s *study) met(is bool, name, found string) error {
	if s.require.word == "" || is {
		return nil
	}
	return unmet(fmt.Sprintf("%s: required %s, found %s", phrase.Shown(name), s.require.word, found))
}

// together puts the results of several files into one output.
func (s *study) together(parts [][]byte) []byte {
	if len(parts) == 1 {
		return parts[0]
	}
	switch s.format.word {
	case "json":
		for i := range parts {
			parts[i] = bytes.TrimSuffix(parts[i], []byte("\n"))
		}
		return append(append([]byte("[\n"), bytes.Join(parts, []byte(",\n"))...), "\n]\n"...)
	case "csv":
		return bytes.Join(parts, nil)
	case "markdown":
		return bytes.Join(parts, []byte("\n---\n\n"))
	}
	return bytes.Join(parts, []byte("\n"+strings.Repeat("-", 80)+"\n\n"))
}
