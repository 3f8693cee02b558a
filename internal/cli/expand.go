package cli

import (
	"github.com/spf13/cobra"
)

func (p *program) newExpand() *cobra.Command {
	var outside outside
	c := &cobra.Command{
		Use:   "expand JOB",
		Short: "Print a job in full, its patterns written out",
		Long: "Prints the job with its includes and what it takes of a folder of equipment put in, its patterns (like, count, across, every and their kin) written out,\n" +
			"as TOML that reviews to the same. Saved beside the job it finds the same CSV files.",
		Example: "  plumbrule expand job.toml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return wrong("expand needs the name of one job file; found %d names", len(args))
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
		RunE: func(c *cobra.Command, args []string) error {
			if err := outside.wanting(); err != nil {
				return err
			}
			tree, err := outside.tree(args[0])
			if err != nil {
				return &exit{exitInput, err}
			}
			text, err := tree.Expanded()
			if err != nil {
				return &exit{exitInput, err}
			}
			_, err = c.OutOrStdout().Write(text)
			return err
		},
	}
	outside.add(c)
	return c
}
