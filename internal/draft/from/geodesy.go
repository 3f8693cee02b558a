package from

import "math"

// The ellipsoid of WGS 84 (NGA.STND.0036): equatorial radius in metres and
// flattening.
const (
	equatorial = 6378137.0
	flattening = 1 / 298.257223563
)

// tangent is the plane that touches the ellipsoid at a point, onto which its
// neighbourhood is seen from straight above: x to the east and y to the north at
// that point. A distance d from the point comes out short by about d³/6R²: by
// less than 1 mm up to 5 km, with R the radius of the earth. Lengths are those
// on the ellipsoid; at a height h above it they are longer by h/R, a foot in
// four thousand at 5,000 ft.
type tangent struct {
	origin                         [3]float64
	sinLon, cosLon, sinLat, cosLat float64
}

func newTangent(lon, lat float64) tangent {
	t := tangent{origin: geocentric(lon, lat)}
	t.sinLon, t.cosLon = math.Sincos(radians(lon))
	t.sinLat, t.cosLat = math.Sincos(radians(lat))
	return t
}

// plan is a place in degrees as it is seen on the plane, in metres.
func (t tangent) plan(lon, lat float64) (x, y float64) {
	p := geocentric(lon, lat)
	dx, dy, dz := p[0]-t.origin[0], p[1]-t.origin[1], p[2]-t.origin[2]
	x = -t.sinLon*dx + t.cosLon*dy
	y = -t.sinLat*(t.cosLon*dx+t.sinLon*dy) + t.cosLat*dz
	return x, y
}

// geocentric gives a place on the ellipsoid by its distances from the centre of
// the earth, in metres.
func geocentric(lon, lat float64) [3]float64 {
	const squared = flattening * (2 - flattening) // of the eccentricity
	sinLon, cosLon := math.Sincos(radians(lon))
	sinLat, cosLat := math.Sincos(radians(lat))
	n := equatorial / math.Sqrt(1-squared*sinLat*sinLat)
	return [3]float64{n * cosLat * cosLon, n * cosLat * sinLon, n * (1 - squared) * sinLat}
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
