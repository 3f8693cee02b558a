package loads

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// What an engineer's sealed calculation can settle, in the words of the key
// covers of an engineered result.
const (
	ofWind      = "wind"
	ofSnow      = "snow"
	ofSeismic   = "seismic"
	ofFastening = "fastening"
	ofFraming   = "framing"
	ofBallast   = "ballast"
)

// covers reports whether an engineered result is about an array and a topic.
func covers(c *terms.Call, e *job.Engineered, a *job.Array, topic string) bool {
	if !slices.Contains(terms.Get(c, e.Covers), topic) {
		return false
	}
	return !terms.Stated(c, e.Arrays) || slices.Contains(terms.Peek(c, e.Arrays), a.Name.Value)
}

// covered lists the arrays that an engineered result is about.
func covered(c *terms.Call, e *job.Engineered) (list []*job.Array) {
	for i := range c.Job().Arrays {
		a := &c.Job().Arrays[i]
		if !terms.Stated(c, e.Arrays) || slices.Contains(terms.Peek(c, e.Arrays), a.Name.Value) {
			list = append(list, a)
		}
	}
	return list
}

// calculations are the kinds of papers that an engineer's result can stand in.
var calculations = []string{"structural-calculation", "structural-letter"}

var engineeredSealed = terms.Derive(engineeredKind, "sealed", terms.YesNo, "whether the paper it stands in is a structural letter or calculation of the submittal, and sealed", "the job", "", func(c *terms.Call, e *job.Engineered) bool {
	terms.Get(c, e.Document)
	d, ok := terms.Seek(c, documentKind, e.Document)
	if !ok || c.Stop() || !slices.Contains(calculations, terms.Get(c, d.Kind)) {
		return false
	}
	return terms.Get(c, d.Sealed)
})

var _ = terms.Derive(documentKind, "has_results", terms.YesNo, "whether a result of an engineer's calculation is entered from it", "the job", "", func(c *terms.Call, d *job.Document) bool {
	return len(terms.Pointing(c, engineeredKind, func(e *job.Engineered) job.Text { return e.Document }, d.Name.Value)) > 0
})

// engineeredShort is what a calculation was made for that falls short of the job.
var engineeredShort = terms.Derive(engineeredKind, "short_of", terms.Word, "what it was made for that falls short of the job, with the values of both: wind, exposure, edition, snow, earthquake, weight or distance between feet; empty where nothing does", "the job", "", func(c *terms.Call, e *job.Engineered) string {
	s, sys := &c.Job().Site, c.Job().System()
	topics := terms.Get(c, e.Covers)
	var short []string
	add := func(what, madeFor, due string) {
		short = append(short, fmt.Sprintf("%s %s, on the job %s", what, madeFor, due))
	}
	hold := func(what string, madeFor, due float64, d quantity.Dimension) {
		if madeFor < due*(1-1e-9) {
			add(what, show(sys, madeFor, d), show(sys, due, d))
		}
	}
	of := func(list ...string) bool {
		return slices.ContainsFunc(list, func(t string) bool { return slices.Contains(topics, t) })
	}
	if of(ofWind, ofSnow, ofSeismic, ofFraming, ofBallast) {
		if made, due := terms.Get(c, e.ASCE7), loadEdition.Of(c, &c.Job().Adoption); made != due {
			add("edition of ASCE 7", made, due)
		}
	}
	if of(ofWind, ofFraming, ofBallast) {
		hold("wind speed", c.Q(e.WindSpeed), c.Q(s.WindSpeed), quantity.Speed)
		if made, due := terms.Get(c, e.Exposure), terms.Get(c, s.Exposure); made < due { // B is the mildest, D the severest
			add("exposure", made, due)
		}
	}
	if of(ofSnow, ofFraming) {
		hold("ground snow", c.Q(e.GroundSnow), c.Q(s.GroundSnow), quantity.Pressure)
	}
	if of(ofSeismic, ofBallast) {
		if made, due := terms.Get(c, e.SDS), terms.Get(c, s.SDS); made < due*(1-1e-9) {
			add("SDS", fmt.Sprint(made), fmt.Sprint(due))
		}
	}
	var heaviest, widest float64
	for _, a := range covered(c, e) {
		if of(ofSnow, ofSeismic, ofFraming) {
			heaviest = math.Max(heaviest, weightOnRoof(c, a))
		}
		if of(ofWind, ofSnow) && mounted(c, a) {
			widest = math.Max(widest, widestSpan(c, a))
		}
	}
	if heaviest > 0 {
		hold("weight", c.Q(e.DeadLoad), heaviest, quantity.Pressure)
	}
	if widest > 0 {
		hold("distance between feet", c.Q(e.Spacing), widest, quantity.Length)
	}
	if c.Stop() {
		return ""
	}
	return strings.Join(short, "; ")
})

// mostOfComputed is how many times the value of the standards the tests behind a
// calculation may prove of a fastener before somebody has to look.
const mostOfComputed = 2

var _ = terms.Derive(engineeredKind, "beyond_computed", terms.Word, "what it lets one foot hold that is more than twice the value of the standards for its fasteners, with both values; empty where nothing is, or where the standards give none", "NDS chapter 12, AISI S100 J4", "", func(c *terms.Call, e *job.Engineered) string {
	up, along := c.Q(e.HoldsUplift), c.Q(e.HoldsDownslope)
	var beyond []string
	hold := func(what string, stated float64, fasteners func(part *terms.Call, a *job.Array) []structural.Capacity) {
		var modes []structural.Capacity
		for _, a := range covered(c, e) {
			part := c.Part()
			if list := fasteners(part, a); !part.Stop() {
				modes = append(modes, list...)
			}
		}
		if least := weakest(c, modes); least.Allowable > 0 && stated > mostOfComputed*least.Allowable {
			sys := c.Job().System()
			beyond = append(beyond, fmt.Sprintf("%s %s, computed %s (%s)", what, show(sys, stated, quantity.Force), show(sys, least.Allowable, quantity.Force), least.Mode))
		}
	}
	hold("in uplift", up, func(part *terms.Call, a *job.Array) []structural.Capacity {
		f, kind, count := fastenerOf(part, a)
		return fastenersUp(part, a, arrays.PlaneOf(part, a), f, &capacityState{kind: kind, count: count})
	})
	hold("along the slope", along, func(part *terms.Call, a *job.Array) []structural.Capacity {
		f, kind, count := fastenerOf(part, a)
		return fastenersAlong(part, a, arrays.PlaneOf(part, a), f, kind, count, "wind", &lateralState{})
	})
	if c.Stop() {
		return ""
	}
	return strings.Join(beyond, "; ")
})

var _ = terms.Derive(engineeredKind, "covers_feet", terms.YesNo, "whether an array that it covers stands on feet", "the job", "", func(c *terms.Call, e *job.Engineered) bool {
	return slices.ContainsFunc(covered(c, e), func(a *job.Array) bool { return mounted(c, a) })
})

// leastUplift is the least that a calculation of the wind can come to.
var _ = terms.Derive(engineeredKind, "least_uplift", terms.Quantity(quantity.Force), "largest net uplift of a foot that it covers by the lenient reading of the wind methods; where none reaches it by the least wind pressure; allowable level", "ASCE 7 29.4 and 30.2.2", "", func(c *terms.Call, e *job.Engineered) float64 {
	terms.Drive(c, e.Uplift)
	least := 0.0
	for _, a := range covered(c, e) {
		if !mounted(c, a) {
			continue
		}
		w := Wind.Of(c, a)
		if c.Stop() {
			return 0
		}
		for i := range w.certain {
			d := &w.certain[i]
			uplift := d.UpliftASD
			if w.method == noMethod {
				uplift = w.code.LeastUplift(d)
			}
			least = math.Max(least, uplift)
		}
	}
	return least
})

// mounted reports whether an array stands on feet.
func mounted(c *terms.Call, a *job.Array) bool {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	return ok && terms.Get(c, t.Kind) != "ballast"
}

// widestSpan is the largest distance between feet along a line of an array.
func widestSpan(c *terms.Call, a *job.Array) float64 {
	l := arrays.Carried.Of(c, a)
	if c.Stop() {
		return 0
	}
	most := 0.0
	for i := range l.Feet {
		if l.HasSpan[i] {
			most = math.Max(most, l.Spans[i])
		}
	}
	return most
}

// settled lists the sealed calculations that settle a topic for an array: those
// about it that are sealed and made for no less than the job asks.
func settled(c *terms.Call, a *job.Array, topic string) (list []*job.Engineered) {
	for i := range c.Job().Engineered {
		e := &c.Job().Engineered[i]
		if covers(c, e, a, topic) && engineeredSealed.Of(c, e) && engineeredShort.Of(c, e) == "" {
			list = append(list, e)
		}
	}
	return list
}

// most is the largest of the values that calculations give; a value that one of
// them lacks is missing.
func most(c *terms.Call, list []*job.Engineered, value func(e *job.Engineered) job.Quantity) float64 {
	v := 0.0
	for _, e := range list {
		v = math.Max(v, c.Q(value(e)))
	}
	return v
}

// least is the least of the values that calculations give.
func least(c *terms.Call, list []*job.Engineered, value func(e *job.Engineered) job.Quantity) float64 {
	v := math.Inf(1)
	for _, e := range list {
		v = math.Min(v, c.Q(value(e)))
	}
	return v
}

// ofEngineered declares whether a sealed calculation settles a topic for an array.
func ofEngineered(topic string) terms.TermOf[job.Array, bool] {
	return terms.Derive(arrayKind, topic+"_engineered", terms.YesNo, "whether an engineer's sealed calculation in the submittal settles the "+topic+" of it", "the job", "", func(c *terms.Call, a *job.Array) bool {
		yes := len(settled(c, a, topic)) > 0
		return !c.Stop() && yes
	})
}

var (
	windEngineered      = ofEngineered(ofWind)
	_                   = ofEngineered(ofSnow)
	_                   = ofEngineered(ofSeismic)
	fasteningEngineered = ofEngineered(ofFastening)
	framingEngineered   = ofEngineered(ofFraming)
	_                   = ofEngineered(ofBallast)
)
