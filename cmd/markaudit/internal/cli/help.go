package cli

import (
	"github.com/spf13/cobra"
)

func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		GroupID: "program",
		Short:   "Explain a command",
		Long:    "help explains a command, or lists all of them.",
		Example: "markaudit help audit",
		RunE: func(c *cobra.Command, topic []string) error {
			about, rest, err := c.Root().Find(topic)
			if err != nil || len(rest) > 0 {
				return knownCommand(c.Root(), topic)
			}
			about.InitDefaultHelpFlag() // else its own page would not mention it
			return about.Help()
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) (names []cobra.Completion, _ cobra.ShellCompDirective) {
			if len(args) == 0 {
				for _, sub := range c.Root().Commands() {
					names = append(names, cobra.CompletionWithDesc(sub.Name(), sub.Short))
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
	}
}
