package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"plumbrule/internal/guide"
)

func (p *program) newGuide() *cobra.Command {
	var whole bool
	c := &cobra.Command{
		Use:   "guide [PAGE]",
		Short: "Explain the job file, a page at a time",
		Long: "Explain the job file, a page at a time; without a page, list the pages.\n" +
			"The examples of all pages together are one job, which --job prints: a first file to change.",
		Args: atMostOne,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return pageNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			out := c.OutOrStdout()
			switch {
			case whole && len(args) > 0:
				return wrong("guide takes a page or --job, not both")
			case whole:
				fmt.Fprint(out, guide.Job())
			case len(args) > 0:
				page, found := guide.Named(args[0])
				if !found {
					return wrong("the guide has no page %q%s", args[0], hint(args[0], pageNames(), "plumbrule guide"))
				}
				fmt.Fprint(out, page.Text)
			default:
				aligned(out, func(line func(...string)) {
					for _, page := range guide.Pages() {
						line(page.Name, page.Title)
					}
				})
				fmt.Fprint(out, "\nOne page: plumbrule guide PAGE; the job that their examples make together: plumbrule guide --job\n")
			}
			return nil
		},
	}
	c.Flags().BoolVar(&whole, "job", false, "print the job that the examples make together")
	return c
}

func pageNames() (names []string) {
	for _, page := range guide.Pages() {
		names = append(names, page.Name)
	}
	return names
}
