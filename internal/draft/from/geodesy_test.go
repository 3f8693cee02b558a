package from

import (
	"math"
	"testing"
)

func dms(degrees, minutes, seconds float64) float64 { return degrees + minutes/60 + seconds/3600 }

// Flinders Peak and Buninyong of the Geocentric Datum of Australia Technical
// Manual (Geoscience Australia, section on Vincenty's formulae): 54,972.271 m
// apart at an azimuth of 306 deg 52' 05.37", on GRS 80, whose ellipsoid is that
// of WGS 84 within 0.1 mm. At such a distance the view from above is short by
// d^3/24R^2, which the comparison adds.
func TestPlanAgainstPublishedLine(t *testing.T) {
	lat1, lon1 := -dms(37, 57, 3.72030), dms(144, 25, 29.52440)
	lat2, lon2 := -dms(37, 39, 10.15610), dms(143, 55, 35.38390)
	const distance = 54972.271
	const radius = 6_371_000

	middle := newTangent((lon1+lon2)/2, (lat1+lat2)/2)
	x1, y1 := middle.plan(lon1, lat1)
	x2, y2 := middle.plan(lon2, lat2)
	got := math.Hypot(x2-x1, y2-y1) + math.Pow(distance, 3)/(24*radius*radius)
	if math.Abs(got-distance) > 0.002 {
		t.Errorf("the line is %.4f m long, published %.3f m", got, distance)
	}

	start := newTangent(lon1, lat1)
	x, y := start.plan(lon2, lat2)
	azimuth := math.Mod(math.Atan2(x, y)*180/math.Pi+360, 360)
	// The normals of the two ends are not in one plane: some 0.03" here.
	if published := dms(306, 52, 5.37); math.Abs(azimuth-published) > 0.1/3600 {
		t.Errorf("the azimuth is %.6f, published %.6f", azimuth, published)
	}
}

// The lengths of a degree on WGS 84 by latitude, as reference works print them in
// kilometres (the figures of the calculator of the National Geospatial-Intelligence
// Agency), held against a thousandth of a degree here.
func TestPlanAgainstLengthsOfADegree(t *testing.T) {
	for _, c := range []struct{ latitude, north, east float64 }{
		{0, 110.574, 111.320}, {15, 110.649, 107.551}, {30, 110.852, 96.486},
		{45, 111.132, 78.847}, {60, 111.412, 55.800}, {75, 111.618, 28.902},
	} {
		p := newTangent(-93, c.latitude)
		x, _ := p.plan(-93+0.001, c.latitude)
		_, y := p.plan(-93, c.latitude+0.001)
		if math.Abs(x-c.east) > 0.0006 || math.Abs(y-c.north) > 0.0006 {
			t.Errorf("at latitude %g a thousandth of a degree is %.4f m east and %.4f m north, published %.3f and %.3f", c.latitude, x, y, c.east, c.north)
		}
	}
}

// direct is Vincenty's direct solution (Survey Review 23, 1975): the place at a
// distance and an azimuth from another, good to a tenth of a millimetre. It
// shares nothing with the projection.
func direct(lon, lat, azimuth, distance float64) (lon2, lat2 float64) {
	const b = equatorial * (1 - flattening)
	sinA, cosA := math.Sincos(azimuth)
	tanU := (1 - flattening) * math.Tan(radians(lat))
	cosU := 1 / math.Sqrt(1+tanU*tanU)
	sinU := tanU * cosU
	sigma1 := math.Atan2(tanU, cosA)
	sinAlpha := cosU * sinA
	cosSq := 1 - sinAlpha*sinAlpha
	u := cosSq * (equatorial*equatorial - b*b) / (b * b)
	A := 1 + u/16384*(4096+u*(-768+u*(320-175*u)))
	B := u / 1024 * (256 + u*(-128+u*(74-47*u)))
	sigma := distance / (b * A)
	var sinS, cosS, cos2 float64
	for range 20 {
		cos2 = math.Cos(2*sigma1 + sigma)
		sinS, cosS = math.Sincos(sigma)
		delta := B * sinS * (cos2 + B/4*(cosS*(-1+2*cos2*cos2)-B/6*cos2*(-3+4*sinS*sinS)*(-3+4*cos2*cos2)))
		sigma = distance/(b*A) + delta
	}
	part := sinU*sinS - cosU*cosS*cosA
	phi := math.Atan2(sinU*cosS+cosU*sinS*cosA, (1-flattening)*math.Sqrt(sinAlpha*sinAlpha+part*part))
	lambda := math.Atan2(sinS*sinA, cosU*cosS-sinU*sinS*cosA)
	C := flattening / 16 * cosSq * (4 + flattening*(4-3*cosSq))
	L := lambda - (1-C)*flattening*sinAlpha*(sigma+C*sinS*(cos2+C*cosS*(-1+2*cos2*cos2)))
	return lon + L*180/math.Pi, phi * 180 / math.Pi
}

// What the projection says of its own error: within 1 mm up to 5 km.
func TestPlanWithinAMillimetre(t *testing.T) {
	for _, lat := range []float64{-45, 0, 21.3, 44.9, 64.8} {
		p := newTangent(-93.1, lat)
		for _, distance := range []float64{1, 50, 500, 4990} {
			for azimuth := 0.1; azimuth < 6.3; azimuth += 0.7 {
				x, y := p.plan(direct(-93.1, lat, azimuth, distance))
				sin, cos := math.Sincos(azimuth)
				if off := math.Hypot(x-distance*sin, y-distance*cos); off > 0.001 {
					t.Errorf("at latitude %g, %g m off at %.1f: %.4f m wrong", lat, distance, azimuth, off)
				}
			}
		}
	}
}
