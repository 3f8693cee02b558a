package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// claim is the kind of editions that a job states where its authority decides.
var claim = terms.NewKind("stated_edition", "stated_editions", "an edition that the job states while the word of its authority is given, which decides", func(c *terms.Call, k terms.KindOf[job.Claim]) []*terms.Subject {
	var out []*terms.Subject
	for _, x := range c.Job().Claims() {
		out = append(out, k.Subject(x.Code.Name, job.Join("adoption", x.Code.Key), x.Stated.At, &x))
	}
	return out
})

var _ = terms.Derive(claim, "stated", terms.Word, "the edition that the job states", "the job", "", func(c *terms.Call, x *job.Claim) string { return terms.Get(c, x.Stated) })

var _ = terms.Derive(claim, "decided", terms.YesNo, "whether the authority says which edition is in force, or that none is", "the authority", "", func(_ *terms.Call, x *job.Claim) bool { return x.Ruled })

var _ = terms.Derive(claim, "in_force", terms.Word, "the edition that the authority says is in force; none where the code is not adopted", "the authority", "", func(c *terms.Call, x *job.Claim) string {
	if !x.Ruled {
		c.Fail("no layer of the authority says which edition of the %s is in force", x.Code.Name)
	}
	if x.InForce == "" {
		return "none"
	}
	return x.InForce
})
