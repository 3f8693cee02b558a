package report

import (
	"fmt"

	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Options say how a review is written for machines.
type Options struct {
	All     bool        // every outcome, instead of what is outstanding or excused
	Gate    review.Gate // what makes the review fail
	Version string      // of the tool
	Many    bool        // JSON is one document with a list of reviews
}

// shows tells whether an outcome is listed: all of them where they are asked
// for, else those that somebody has to look at.
func (o Options) shows(x *review.Outcome) bool {
	return o.All || x.Outstanding() || x.Excused != nil
}

// partly says that only some of the checks ran; "" where all did.
func partly(r *review.Review) string {
	ran, all := r.Ran()
	if ran == all {
		return ""
	}
	return fmt.Sprintf("%d of %s ran; nothing is said of the others", ran, wording.Plural(all, "check", "checks"))
}

// causes lists, for each outcome that comes of comments, their numbers in order.
func causes(r *review.Review) map[*review.Outcome][]int {
	out := map[*review.Outcome][]int{}
	for _, c := range r.Comments() {
		for _, f := range c.Follows {
			for _, o := range f.Subjects {
				out[o] = append(out[o], c.Number)
			}
		}
	}
	return out
}
