package cli

import (
	"errors"
	"io"
	"runtime/debug"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/editor"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
)

func (p *program) newLSP() *cobra.Command {
	var jurisdictions []string
	var outside outside
	c := &cobra.Command{
		Use:   "lsp",
		Short: "Serve an editor that speaks the Language Server Protocol",
		Long: "Serves an editor over stdin and stdout by the Language Server Protocol 3.17, an open standard. The editor starts it\n" +
			"for TOML files; a person never does. While a job is typed it shows what keeps the job from being read, and what the\n" +
			"review finds, at the lines that cause it. What it cannot tell the editor goes to stderr.\n\n" +
			"The exit code is 0 where the editor ended the session as the protocol asks, else 1.",
		Example: "  plumbrule lsp",
		Args:    noNames,
		RunE: func(c *cobra.Command, _ []string) error {
			if err := outside.wanting(); err != nil {
				return err
			}
			debug.SetGCPercent(lspGCPercent)
			err := editor.Serve(c.Context(), stdio{c.InOrStdin(), p.live}, editor.Options{
				Load: func() (*codebook.Codebook, *table.Set, error) {
					book, err := p.loadBook(jurisdictions...)
					if err != nil {
						return nil, nil, err
					}
					tables, err := p.loadTables()
					return book, tables, err
				},
				Sheet: func(w io.Writer, c *codebook.Check) error {
					return report.SheetPage(w, c, nil, make([][]*review.Outcome, len(c.Examples)), "")
				},
				Outside: outside,
				Version: buildVersion(),
				Log:     c.ErrOrStderr(),
			})
			if errors.Is(err, editor.ErrNoShutdown) {
				return &exit{exitOutstanding, err} // the code that the protocol asks for
			}
			return err
		},
	}
	outside.add(c)
	addRules(c, &jurisdictions)
	return c
}

// lspGCPercent lets more garbage stand than other commands do: each review leaves
// most of its memory to the next, and collecting it took a fifth of the time of
// one (memory goes from 60 to 110 MB with the barn open).
const lspGCPercent = 300

// stdio is stdin and stdout as one stream.
type stdio struct {
	io.Reader
	io.Writer
}

// Close ends the reading, where that can be ended.
func (s stdio) Close() error {
	if in, ok := s.Reader.(io.Closer); ok {
		return in.Close()
	}
	return nil
}
