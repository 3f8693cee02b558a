package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/report"
)

func newRules() *cobra.Command {
	return &cobra.Command{
		Use:               "rules [CHECK]",
		Short:             "List the checks, or show the sheet of one",
		Args:              atMostOne,
		ValidArgsFunction: completeChecks,
		RunE: func(c *cobra.Command, args []string) error {
			book, err := loadBook()
			if err != nil {
				return err
			}
			if len(args) == 0 {
				listChecks(c.OutOrStdout(), book)
				return nil
			}
			check := book.Check(args[0])
			if check == nil {
				return wrong("there is no check %q%s", args[0], nearestCheck(args[0], book))
			}
			return report.Sheet(c.OutOrStdout(), check)
		},
	}
}

func completeChecks(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	book, err := loadBook()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	words := make([]string, len(book.Checks))
	for i, c := range book.Checks {
		words[i] = cobra.CompletionWithDesc(c.ID, c.Title)
	}
	return words, cobra.ShellCompDirectiveNoFileComp
}

func listChecks(w io.Writer, book *codebook.Codebook) {
	aligned(w, func(line func(...string)) {
		discipline := ""
		for _, c := range book.Checks {
			if c.Discipline != discipline {
				if discipline != "" {
					line("")
				}
				discipline = c.Discipline
				line(strings.ToUpper(discipline))
			}
			line("  "+c.ID, string(c.Severity), c.Title)
		}
	})
	fmt.Fprintf(w, "\n%d checks. The sheet of one: plumbrule rules CHECK\n", len(book.Checks))
}
