package cli

import (
	"strings"

	"markaudit/cmd/markaudit/internal/phrase"

	"github.com/spf13/cobra"
)

var shells = []string{"bash", "zsh", "fish", "powershell"}

func newCompletion() *cobra.Command {
	return &cobra.Command{
		Use:     "completion " + strings.Join(shells, "|"),
		GroupID: "program",
		Short:   "Print a script that completes commands in a shell",
		Long: `completion prints a script for a shell, which then completes commands, options
and the names of sheets on the tabulator key. Load it when the shell starts.`,
		Example: `markaudit completion bash > ~/.local/share/bash-completion/completions/markaudit
markaudit completion zsh > "${fpath[1]}/_markaudit"
markaudit completion fish > ~/.config/fish/completions/markaudit.fish
markaudit completion powershell | Out-String | Invoke-Expression`,
		ValidArgs: shells,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return bad(c, "found %s, expected one: %s", phrase.Count(len(args), "shell"), phrase.OneOf(shells))
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			root, out := c.Root(), c.OutOrStdout()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(out, true)
			case "zsh":
				return root.GenZshCompletion(out)
			case "fish":
				return root.GenFishCompletion(out, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(out)
			}
			return bad(c, "found %s, expected %s", phrase.Shown(args[0]), phrase.OneOf(shells))
		},
	}
}
