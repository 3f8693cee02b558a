package cli

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/backcheck"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/standing"
	"plumbrule/internal/wording"
)

// officeFlags is what an office gives a review besides the job: the deviations it
// has granted, the list of what was there before, and the earlier review.
type officeFlags struct {
	deviations string
	stated     bool

	standing, writeStanding string
	grow                    bool

	earlier, responses string
	rounded            bool // the command line says the round

	open job.Open // reads the files of the flags; nil is job.ReadFile
}

// addLeave gives a command the flags that say which deviations count.
func (o *officeFlags) addLeave(c *cobra.Command) {
	c.Flags().StringVar(&o.deviations, "deviations", "", "excuse what the authority has granted in this `FILE`, which is TOML; those that a job states are claims and count for nothing; see: plumbrule guide deviations")
	c.Flags().BoolVar(&o.stated, "accept-stated", false, "take the deviations that a job states as granted too")
	_ = c.MarkFlagFilename("deviations", "toml")
}

// addStanding gives a command the flags of the list of what was there before.
func (o *officeFlags) addStanding(c *cobra.Command) {
	c.Flags().StringVar(&o.standing, "standing", "", "do not count what stands on the list in this `FILE` for the exit code; see: plumbrule guide standing")
	c.Flags().StringVar(&o.writeStanding, "write-standing", "", "write the list of what is outstanding to this `FILE`; over an older list only where nothing is new")
	c.Flags().BoolVar(&o.grow, "standing-may-grow", false, "let --write-standing put new entries on a list that there is")
}

// together refuses flags that do not go together.
func (o *officeFlags) together(jobs int, partial, watch bool) error {
	switch {
	case jobs > 1 && (o.standing != "" || o.writeStanding != ""):
		return wrong("--standing and --write-standing are about one job; found %d jobs", jobs)
	case o.writeStanding != "" && partial:
		return wrong("--write-standing lists what all checks find; it does not go with --only")
	case o.writeStanding != "" && watch:
		return wrong("--write-standing writes a list once; it does not go with --watch")
	case o.grow && o.writeStanding == "":
		return wrong("--standing-may-grow goes with --write-standing FILE")
	}
	return nil
}

// inputs lists the files that the flags name and that are not written over: an
// earlier review that is gone cannot be gone back to. The standing list is read and
// may be written anew.
func (o *officeFlags) inputs() []string {
	return slices.DeleteFunc([]string{o.deviations, o.earlier, o.responses}, func(path string) bool { return path == "" })
}

// goOn tells a review its round and what it goes on from.
func (o *checkFlags) goOn(r *review.Review, earlier *review.Earlier) error {
	if earlier != nil && o.letter.round <= earlier.Round {
		return wrong("--round %d: the earlier review was round %d", o.letter.round, earlier.Round)
	}
	r.Round = o.letter.round
	if earlier != nil {
		r.Follow(earlier)
	}
	return nil
}

// office is what was read from the files of the flags.
type office struct {
	leave    review.Leave
	standing *review.Standing
	earlier  *review.Earlier
}

// load reads the files of the flags; faults are those of all of them.
func (o *officeFlags) load(date string) (office, source.Faults) {
	out := office{leave: review.Leave{Stated: o.stated, Date: date}}
	var faults source.Faults
	note := func(err error) { faults = append(faults, faultsOf(err)...) }
	if o.deviations != "" {
		out.leave.Filed = true
		if f, err := o.read(o.deviations); err != nil {
			note(err)
		} else {
			out.leave.Granted, err = job.ReadDeviations(f)
			note(err)
		}
	}
	if o.standing != "" {
		if f, err := o.read(o.standing); err != nil {
			note(err)
		} else {
			out.standing, err = standing.Read(f)
			note(err)
		}
	}
	if o.earlier == "" {
		return out, faults
	}
	f, err := readEarlier(o.earlier)
	if err == nil {
		out.earlier, err = backcheck.ReadEarlier(f)
	}
	if note(err); err != nil || o.responses == "" {
		return out, faults
	}
	f, err = o.read(o.responses)
	if err == nil {
		out.earlier.Responses, err = backcheck.ReadResponses(f, out.earlier)
	}
	note(err)
	return out, faults
}

// read reads a file of the flags within the bounds; the error is source.Faults.
func (o *officeFlags) read(path string) (*source.File, error) {
	open := o.open
	if open == nil {
		open = job.ReadFile
	}
	text, err := open(path)
	return readAs(path, text, err)
}

// readEarlier reads the JSON of a review, which may be larger than any job.
func readEarlier(path string) (*source.File, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = errors.New("it is not a regular file")
	}
	if err != nil {
		return readAs(path, nil, err)
	}
	f, err := os.Open(path)
	if err != nil {
		return readAs(path, nil, err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, backcheck.MaxSize+1)) // one byte more shows that it is too large
	return readAs(path, text, err)
}

func readAs(path string, text []byte, err error) (*source.File, error) {
	at := source.Span{File: &source.File{Name: path}}
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, source.Faults{{At: at, Message: "there is no such file"}}
	case err != nil:
		return nil, source.Faults{{At: at, Message: "it cannot be read: " + err.Error()}}
	}
	return source.NewFile(path, text), nil
}

// list writes the file of --write-standing. Over an older list it is refused where
// anything is new, unless the flags say so: a list that may only become shorter is
// what holds the gate.
func (o *officeFlags) list(w io.Writer, reviews iter.Seq[*review.Review]) error {
	return first(reviews, func(r *review.Review) error { return o.listOf(w, r) })
}

func (o *officeFlags) listOf(w io.Writer, r *review.Review) error {
	entries := review.StandingOf(r)
	write := func() error { return standing.Write(w, entries) }
	if _, err := os.Stat(o.writeStanding); err != nil || o.grow {
		return write() // there is none yet, or making it will say what is wrong
	}
	f, err := o.read(o.writeStanding)
	if err != nil {
		return &exit{exitInput, err}
	}
	before, err := standing.Read(f)
	if err != nil {
		return &exit{exitInput, err}
	}
	added := standing.Added(entries, before.Entries)
	if len(added) == 0 {
		return write()
	}
	const most = 5
	names := wording.Each(added[:min(len(added), most)], func(e review.StandingEntry) string { return e.Check + " for " + e.Subject })
	if more := len(added) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	return wrong("--write-standing %s: the list there may only become shorter, and %s not on it: %s; --standing-may-grow lets it grow",
		o.writeStanding, wording.Plural(len(added), "outcome is", "outcomes are"), strings.Join(names, "; "))
}
