package cli

import (
	"github.com/spf13/cobra"

	"plumbrule/schema"
)

// schemaNames are the files that have a schema, the job first: it is the one
// that people write.
var schemaNames = []string{"job", "rules", "pack", "review"}

func (p *program) newSchema() *cobra.Command {
	return &cobra.Command{
		Use:   "schema [job|rules|pack|review]",
		Short: "Print the JSON Schema of a job, of a rule file, of an adoption pack or of a review",
		Long: "Print the JSON Schema (draft-07) of a job, of a rule file, of an adoption pack or of a review as JSON; of a job where none is named.\n" +
			"Editors that know TOML complete and check a job by it once the first line of the job names the file:\n\n" +
			"  #:schema job.schema.json",
		Args: atMostOne,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return schemaNames, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			name := append(args, schemaNames[0])[0]
			text, err := schema.FS.ReadFile(name + ".schema.json")
			if err != nil {
				return wrong("there is no schema %q%s", name, hint(name, schemaNames, "plumbrule schema --help"))
			}
			_, err = c.OutOrStdout().Write(text)
			return err
		},
	}
}
