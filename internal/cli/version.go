package cli

import (
	"cmp"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/wording"
)

func (p *program) newVersion() *cobra.Command {
	return &cobra.Command{
		Use:               "version",
		Short:             "Show the version of the program and of its rules",
		Args:              noNames,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(c *cobra.Command, _ []string) error {
			rules, checks, err := codebook.Edition(p.rules)
			if err != nil {
				return failed(err)
			}
			out := c.OutOrStdout()
			fmt.Fprintf(out, "plumbrule %s\n", buildVersion())
			fmt.Fprintf(out, "rules     %s, %d checks\n", rules, checks)
			return nil
		},
	}
}

// release is the version of what is given away, which .ci/build puts in.
var release string

// shortVersion is the version for people: that of a release, else enough of the
// revision to find it.
func shortVersion() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(no build information)"
	}
	setting := settings(info)
	s, revision := info.Main.Version, wording.ShortHash(setting["vcs.revision"])
	if revision == "" || s != "" && s != "(devel)" && !strings.Contains(s, revision) {
		return cmp.Or(s, "(devel)")
	}
	if setting["vcs.modified"] == "true" {
		return "revision " + revision + " with changes"
	}
	return "revision " + revision
}

// settings are what the Go tool noted of a build.
func settings(info *debug.BuildInfo) map[string]string {
	out := map[string]string{}
	for _, s := range info.Settings {
		out[s.Key] = s.Value
	}
	return out
}

// buildVersion is what the Go tool wrote into the binary: the module's
// version, the revision it was built from, and the Go version.
func buildVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(no build information)"
	}
	setting := settings(info)
	s := cmp.Or(release, info.Main.Version, "(devel)")
	if r := setting["vcs.revision"]; r != "" {
		s += ", revision " + r
		if setting["vcs.modified"] == "true" {
			s += " with changes"
		}
	}
	return s + ", " + info.GoVersion
}
