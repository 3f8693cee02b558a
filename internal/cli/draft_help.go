package cli

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"plumbrule/internal/draft"
)

// helpWidth is how wide the help of a draft is wrapped.
const helpWidth = 110

// draftUsage prints the flags of a draft below a heading for each section of its
// questions, since there are too many for one list.
func draftUsage(c *cobra.Command) error {
	out := c.OutOrStderr()
	fmt.Fprintf(out, "Usage:\n  %s\n\nExamples:\n%s\n", c.UseLine(), c.Example)
	fmt.Fprintf(out, "\nAn answer is written as its kind is: LENGTH \"12 ft 6 in\" or \"3.81 m\", SLOPE 6:12 or \"26 deg\", BEARING \"165 deg\" or\n"+
		"south, VOLTAGE \"240 V\", CURRENT \"20 A\", TEMPERATURE \"-2 degF\", SPEED \"105 mph\", PRESSURE \"25 psf\", SIZE \"10 AWG\",\n"+
		"NUMBER 2, WORD as listed, TEXT as it is. Those marked * have to be answered.\n")
	heading, of := []string{}, map[string]*pflag.FlagSet{}
	c.Flags().VisitAll(func(f *pflag.Flag) {
		section := "Files and output"
		if a, is := f.Value.(*answer); is {
			section = a.question.Section
		}
		if of[section] == nil {
			heading, of[section] = append(heading, section), pflag.NewFlagSet(section, pflag.ContinueOnError)
			of[section].SortFlags = false
		}
		of[section].AddFlag(f)
	})
	for _, section := range heading {
		fmt.Fprintf(out, "\n%s:\n%s", section, of[section].FlagUsagesWrapped(helpWidth))
	}
	return nil
}

// oneKind is the form of an answer that its kind says enough of.
var oneKind = regexp.MustCompile(`^an? (?:\w+ )?(\w+)(?:, such as .*)?$`)

// takes is the kind of answer that a flag takes, as its help has it.
func takes(q *draft.Question) string {
	kind := oneKind.FindStringSubmatch(q.Form)
	switch {
	case slices.Equal(q.Words, []string{"true", "false"}):
		return "true|false"
	case len(q.Words) > 0:
		return "WORD"
	case strings.HasPrefix(q.Form, "a bearing"):
		return "BEARING"
	case strings.HasPrefix(q.Form, "a slope"):
		return "SLOPE"
	case kind != nil:
		return strings.ToUpper(kind[1])
	case q.Form != "":
		return "ANSWER"
	}
	return "TEXT"
}

// usageOf is the help of a flag.
func usageOf(q *draft.Question) string {
	text := q.Asks
	if text[1:2] == strings.ToLower(text[1:2]) { // else it begins with an abbreviation
		text = strings.ToLower(text[:1]) + text[1:]
	}
	switch kind := takes(q); kind {
	case "WORD":
		text += ": " + strings.Join(q.Words, ", ")
	case "ANSWER":
		text += ": " + strings.ReplaceAll(q.Form, "`", "'")
	}
	switch {
	case q.Default != "":
		text += " (left out: " + q.Default + ")"
	case q.Required:
		text += " *"
	}
	return text
}
