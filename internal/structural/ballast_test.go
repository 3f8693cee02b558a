package structural

import (
	"math"
	"testing"

	"plumbrule/internal/quantity"
)

// By hand: 0.6 x 100 lb hold 60 lb down; at a friction of 0.5, 0.6 x 200 lb less
// 60 lb hold 30 lb in place. The displacements are those of 5 Ie (SDS - 0.4)^2 ft.
func TestBallast(t *testing.T) {
	w := asce(t, "7-16")
	n := must(w.BallastNeed(BallastLoad{Uplift: 60 * lb, Drag: 30 * lb, Friction: 0.5}))(t)
	if !close2(n.ForUplift, 100*lb, 1e-12) || !close2(n.ForSliding, 200*lb, 1e-12) {
		t.Errorf("%v lb against uplift, %v lb against sliding", n.ForUplift/lb, n.ForSliding/lb)
	}
	if n := must(w.BallastNeed(BallastLoad{Uplift: 60 * lb, Friction: math.NaN()}))(t); !math.IsNaN(n.ForSliding) {
		t.Errorf("without friction sliding is answered: %v", n.ForSliding)
	}
	if _, err := w.BallastNeed(BallastLoad{Slope: 5, Friction: 0.05}); err == nil {
		t.Error("a weight that slides by itself holds nothing")
	}
	for _, c := range []struct{ sds, importance, inches float64 }{{0.2, 1, 24}, {1.4, 1, 60}, {1.4, 1.25, 75}} {
		if d := must(w.Displacement(c.sds, c.importance))(t); !close2(d.Distance, c.inches*0.0254, 1e-9) {
			t.Errorf("SDS %v, Ie %v: %v in", c.sds, c.importance, d.Distance/0.0254)
		}
	}
	if out := w.BeyondBallast(Unattached{Risk: "III", Stories: 6, Height: 0.9, Interconnected: true}, quantity.US); out != "" {
		t.Errorf("within the limits: %s", out)
	}
}
