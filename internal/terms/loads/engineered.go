package loads

import (
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
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

var engineeredSealed = terms.Derive(engineeredKind, "sealed", terms.YesNo, "whether the paper it stands in is in the submittal and sealed", "the job", "", func(c *terms.Call, e *job.Engineered) bool {
	terms.Get(c, e.Document)
	d, ok := terms.Seek(c, documentKind, e.Document)
	if !ok || c.Stop() {
		return false
	}
	return terms.Get(c, d.Sealed)
})

// engineeredShort is what a calculation was made for that falls short of the job.
var engineeredShort = terms.Derive(engineeredKind, "short_of", terms.Word, "what it was made for that falls short of the job: wind, exposure, edition, snow, earthquake, weight or distance between feet; empty where nothing does", "the job", "", func(c *terms.Call, e *job.Engineered) string {
	s := &c.Job().Site
	topics := terms.Get(c, e.Covers)
	var short []string
	hold := func(what string, madeFor, due float64) {
		if !c.Stop() && madeFor < due*(1-1e-9) {
			short = append(short, what)
		}
	}
	of := func(list ...string) bool {
		return slices.ContainsFunc(list, func(t string) bool { return slices.Contains(topics, t) })
	}
	if of(ofWind, ofSnow, ofSeismic) {
		if made, due := terms.Get(c, e.ASCE7), loadEdition.Of(c, &c.Job().Adoption); made != due {
			short = append(short, "edition of ASCE 7")
		}
	}
	if of(ofWind, ofBallast) {
		hold("wind speed", c.Q(e.WindSpeed), c.Q(s.WindSpeed))
		if made, due := terms.Get(c, e.Exposure), terms.Get(c, s.Exposure); made < due { // B is the mildest, D the severest
			short = append(short, "exposure")
		}
	}
	if of(ofSnow, ofFraming) {
		hold("ground snow", c.Q(e.GroundSnow), c.Q(s.GroundSnow))
	}
	if of(ofSeismic, ofBallast) {
		hold("SDS", terms.Get(c, e.SDS), terms.Get(c, s.SDS))
	}
	for _, a := range covered(c, e) {
		if of(ofSnow, ofSeismic, ofFraming) {
			hold("weight of array "+a.Name.Value, c.Q(e.DeadLoad), weightOnRoof(c, a))
		}
		if of(ofWind, ofSnow) && mounted(c, a) {
			hold("distance between feet of array "+a.Name.Value, c.Q(e.Spacing), widestSpan(c, a))
		}
	}
	if c.Stop() {
		return ""
	}
	return strings.Join(short, ", ")
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
	snowEngineered      = ofEngineered(ofSnow)
	seismicEngineered   = ofEngineered(ofSeismic)
	fasteningEngineered = ofEngineered(ofFastening)
	framingEngineered   = ofEngineered(ofFraming)
	ballastEngineered   = ofEngineered(ofBallast)
)
