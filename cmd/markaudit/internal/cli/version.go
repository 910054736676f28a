package cli

import (
	"fmt"

	"github.com/spf13/cobra"
)

// version is that of the program; nothing else knows it.
const version = "0.1.0"

const software = "markaudit " + version

func newVersion() *cobra.Command {
	return &cobra.Command{
		Use:               "version",
		GroupID:           "program",
		Short:             "Print the version",
		Long:              "version prints the name and version of the program, as every audit carries them.",
		Example:           "markaudit version",
		Args:              noArguments,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(c *cobra.Command, _ []string) error {
			_, err := fmt.Fprintln(c.OutOrStdout(), software)
			return err
		},
	}
}
