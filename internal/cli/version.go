package cli

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func (p *program) newVersion() *cobra.Command {
	return &cobra.Command{
		Use:               "version",
		Short:             "Show the version of the program and of its rules",
		Args:              noNames,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(c *cobra.Command, _ []string) error {
			book, err := p.loadBook()
			if err != nil {
				return err
			}
			out := c.OutOrStdout()
			fmt.Fprintf(out, "plumbrule %s\n", buildVersion())
			fmt.Fprintf(out, "rules     %s, %d checks\n", book.Hash, len(book.Checks))
			return nil
		},
	}
}

// buildVersion is what the Go tool wrote into the binary: the module's
// version, the revision it was built from, and the Go version.
func buildVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(no build information)"
	}
	setting := map[string]string{}
	for _, s := range info.Settings {
		setting[s.Key] = s.Value
	}
	s := info.Main.Version
	if s == "" {
		s = "(devel)"
	}
	if r := setting["vcs.revision"]; r != "" {
		s += ", revision " + r
		if setting["vcs.modified"] == "true" {
			s += " with changes"
		}
	}
	return s + ", " + info.GoVersion
}
