package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"markaudit/audit"
	"markaudit/audit/history"
	"markaudit/audit/inputerror"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

func newHistory(env world.World) *cobra.Command {
	var output, write outputName
	c := &cobra.Command{
		Use:     "history SHEET...|HISTORY",
		GroupID: "sheets",
		Short:   "Gather what a readout did in past audits, with its control chart",
		Long: `history takes from past sheets of one readout how middles and readings scattered,
and what remounting changed, and draws the control chart. --write keeps it in a
file, which a later sheet may name under readout.history; nothing is kept without.

A history file in place of sheets shows what is in it.`,
		Example: `markaudit history 2025-*.yaml --write wheel-4.history.json
markaudit history wheel-4.history.json --line TDC`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml", "json"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	by := flagged(c, "by", "take the sheets of this `NAME` alone", readName)
	line := flagged(c, "line", "show the offsets of the line of this `NAME` too, of a part that does not change", readName)
	var without []string
	c.Flags().StringArrayVar(&without, "without", nil, "strike the sheet with this `DIGEST`, four digits or more of it; repeat it for more")
	format := choose(c, "format", "text", "how to print the history", "text", "json", "markdown", "html", "pdf")
	c.Flags().Var(&output, "output", "write the report to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Flags().Var(&write, "write", "keep the history in this file, which may not be there yet")
	c.Args = func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return bad(c, "found no sheet, expected past sheets of one readout, or a history file")
		}
		if write != "" && write == output {
			return bad(c, "found the same file for --write and --output, expected two")
		}
		return oneStandardInput(c, args)
	}
	c.RunE = func(c *cobra.Command, names []string) error {
		if write != "" {
			if _, err := os.Lstat(string(write)); err == nil {
				return bad(c, "found %s, which is there already, expected a new name: a history is not written over", phrase.Shown(string(write)))
			}
		}
		return written(env, string(output), func(replaced fs.FileInfo) ([]byte, error) {
			h, left, from, err := gathered(env, c, names, by.value, without, replaced)
			if err != nil {
				return nil, err
			}
			if write != "" {
				if err := saveHistory(string(write), h); err != nil {
					return nil, err
				}
			}
			o := document.Options{Software: software}
			return printed(func(w io.Writer) error {
				figures := func() []drawing.Scene { return figure.ControlChart(h, line.value) }
				return show(w, format.word, report.History(h, left, from, line.value, o), figures, func(w io.Writer) error {
					return export.History(w, h, left, from, line.value, o)
				})
			})
		})
	}
	return c
}

// gathered is the history that sheets make, or that a file holds.
func gathered(env world.World, c *cobra.Command, names []string, by string, without []string, replaced fs.FileInfo) (h sheet.History, left []history.Left, from []string, err error) {
	if len(names) == 1 && filepath.Ext(names[0]) == ".json" {
		if by != "" {
			return h, nil, nil, bad(c, "found --by with a history file, expected sheets: the file does not say whose hands a setup was in")
		}
		h, left, err = historyFile(env, names[0], without, replaced)
		return h, left, nil, err
	}
	var results []audit.Result
	failed := false
	for _, name := range names {
		s, positions, err := sheetFile(env, name, replaced)
		var r audit.Result
		if err == nil {
			r, err = audit.Run(s)
			var faults inputerror.List
			if errors.As(err, &faults) {
				err = positions.Explain(faults)
			}
		}
		if err != nil {
			failed = true
			complain(env.Stderr, err)
			continue
		}
		results = append(results, r)
	}
	if failed {
		return h, nil, nil, errTold
	}
	if h, left, err = history.Gather(results, by, without); err != nil {
		return h, nil, nil, bad(c, "%v", err)
	}
	return h, left, names, nil
}

// historyFile reads a history by its path.
func historyFile(env world.World, name string, without []string, replaced fs.FileInfo) (sheet.History, []history.Left, error) {
	data, called, err := env.Whole(name, sheet.MostSheetBytes, replaced)
	if err != nil {
		return sheet.History{}, nil, err
	}
	h, err := sheet.ReadHistory(data)
	if err != nil {
		return sheet.History{}, nil, fmt.Errorf("%s: %w", phrase.Shown(called), err)
	}
	if len(without) == 0 {
		return *h, nil, nil
	}
	kept, left, err := history.Strike(*h, without)
	if err != nil {
		return kept, nil, fmt.Errorf("%s: %w", phrase.Shown(called), err)
	}
	kept.Digest = "" // it is another now
	return kept, left, nil
}

func saveHistory(path string, h sheet.History) error {
	var text bytes.Buffer
	if err := sheet.WriteHistory(&text, h, software); err != nil {
		return fmt.Errorf("%s: %w", phrase.Shown(path), err)
	}
	return atomicwrite.Replace(path, text.Bytes())
}
