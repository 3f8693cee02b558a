package cli

import (
	"github.com/spf13/cobra"
)

func (p *program) newBackcheck() *cobra.Command {
	var o checkFlags
	c := &cobra.Command{
		Use:   "backcheck EARLIER.json JOB",
		Short: "Review a resubmittal and tell what became of each earlier comment",
		Long: "Reviews a job again and tells of every comment of an earlier review whether it is answered, outstanding, changed or\n" +
			"withdrawn, and which comments are new. EARLIER.json is what check --write FILE.json wrote, or backcheck itself for the\n" +
			"round before. Earlier comments keep their numbers; new ones continue after the highest ever given. The reports and files\n" +
			"are those of check, with these states; the exit code is that of check.",
		Example: "  plumbrule backcheck round-1.json job.toml\n" +
			"  plumbrule backcheck --responses letter.md --write round-2.json --write letter-2.md round-1.json job.toml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return wrong("backcheck needs the JSON of the earlier review, then the job file; found %d names", len(args))
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"json", "toml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	o.add(c, p, "text", "full", "json")
	c.Flags().StringVar(&o.office.responses, "responses", "", "show the applicant's responses from this `FILE`: CSV with the headings number and response, or the letter (.md) with its column for responses filled in")
	_ = c.MarkFlagFilename("responses", "csv", "md")
	c.RunE = func(c *cobra.Command, args []string) error {
		o.office.earlier = args[0]
		o.office.rounded = c.Flags().Changed("round")
		targets, err := o.targets(args[1:])
		if err != nil {
			return err
		}
		return p.check(c.OutOrStdout(), c.ErrOrStderr(), args[1:], targets, &o)
	}
	return c
}
