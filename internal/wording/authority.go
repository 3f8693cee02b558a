package wording

import (
	"fmt"
	"strings"

	"plumbrule/internal/codebook"
)

// Authority says by whose word editions and checks are in force, what that changed,
// and which checks hold nowhere by it, in sentences; none where nobody's word was
// given.
func Authority(b *codebook.Codebook) []string {
	a := b.Authority
	if a == nil {
		return nil
	}
	var out []string
	if len(a.Layers) > 0 {
		s := "Reviewed under the word of " + layersOf(a)
		if a.Applied != "" {
			s += ", for an application of " + a.Applied
		}
		amended := 0
		for _, c := range b.Checks {
			if len(c.Amended) > 0 {
				amended++
			}
		}
		out = append(out, fmt.Sprintf("%s: %s amended, %s added.", s, Plural(amended, "check", "checks"), Plural(len(a.Added), "check", "checks")))
	}
	if a.RuleSet > 0 {
		out = append(out, fmt.Sprintf("Held to rule set %d of %d.", a.RuleSet, b.Newest()))
	}
	if off := offChecks(b); len(off) > 0 {
		out = append(out, Plural(len(off), "check holds", "checks hold")+" nowhere: "+strings.Join(off, "; ")+".")
	}
	return out
}

// layersOf names the layers of an authority, the narrowest first.
func layersOf(a *codebook.Authority) string {
	var names []string
	for i := len(a.Layers) - 1; i >= 0; i-- {
		names = append(names, a.Layers[i].Name)
	}
	return strings.Join(names, " over ")
}

// offChecks lists the checks that hold nowhere under the authority, each with why.
func offChecks(b *codebook.Codebook) []string {
	var out []string
	for _, c := range b.Checks {
		if c.Off != "" {
			out = append(out, c.ID+" ("+c.Off+")")
		}
	}
	return out
}
