package cli

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version is that of the program; nothing else knows it.
const version = "0.2.0"

// software is what every audit names as its maker: without the commit, so that an
// audit repeated by the next build says the same.
const software = "markaudit " + version

func newVersion() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		GroupID: "program",
		Short:   "Print the version",
		Long: `version prints the name and version of the program, as every audit carries them.
Where the program was built from a commit it says which one, of what date, and
whether files had been changed since.`,
		Example:           "markaudit version",
		Args:              noArguments,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(c *cobra.Command, _ []string) error {
			text := software + "\n"
			if info, ok := debug.ReadBuildInfo(); ok {
				text += builtFrom(info)
			}
			_, err := fmt.Fprint(c.OutOrStdout(), text)
			return err
		},
	}
}

// commit is that from which the program was built; empty where the build does not
// know.
func commit() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			return s.Value
		}
	}
	return ""
}

// builtFrom is a line that says from which commit the program was built, and
// nothing where the build does not know.
func builtFrom(info *debug.BuildInfo) string {
	var commit, date, changed string
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			commit = s.Value
		case "vcs.time":
			date = " of " + s.Value
		case "vcs.modified":
			if s.Value == "true" {
				changed = " Files had been changed since."
			} else {
				changed = " No file had been changed since."
			}
		}
	}
	if commit == "" {
		return ""
	}
	return "Built from commit " + commit + date + "." + changed + "\n"
}
