package paper

import (
	"math"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// Where lines stand close, numbers stand for their names: each line rises from the edge
// and leads to a disc with its number, in the order of the lines.
const (
	discWide  geometry.Length = 3.5
	discPitch geometry.Length = 4
	fanKnee   geometry.Length = 6.2  // up to here a line goes straight
	fanFoot   geometry.Length = 10.6 // the lowest that a disc reaches down
)

// discRows is how many rows of discs a strip needs: one, unless its discs side by side
// would be longer than the strip.
func (r ribbon) discRows() int {
	room := min(r.length, 240) - 8
	return max(1, int(math.Ceil(float64(discPitch*geometry.Length(len(r.discs))/room))))
}

// fan draws the lines with their discs.
func (p *piece) fan() {
	var all []disc
	var places []geometry.Length
	from := p.from
	if p.i > 0 {
		from += overlap
	}
	for _, d := range p.r.discs {
		if d.x >= from && d.x <= p.to {
			all, places = append(all, d), append(places, d.x)
		}
	}
	rows := p.r.discRows()
	centres := spread(places, discPitch/geometry.Length(rows), from+discWide/2+1, p.to-discWide/2-1)
	var discs []drawing.Item
	for i, d := range all {
		up := fanFoot + discWide/2 + discPitch*geometry.Length(i%rows)
		p.line(d.x, fanKnee, d.x, -3, lineWidth)
		p.line(d.x, fanKnee, centres[i], fanFoot-0.3, 0.12) // below the discs, so that it passes behind none
		p.line(centres[i], fanFoot-0.3, centres[i], up, 0.12)
		fill, ink := drawing.White, drawing.Black
		if d.fresh {
			fill, ink = drawing.Black, drawing.White
		}
		size := numberSize
		if w := drawing.BoldWidth(d.number, size); w > discWide-0.8 {
			size *= (discWide - 0.8) / w
		}
		discs = append(discs,
			drawing.Circle{Centre: at(centres[i], up), Radius: discWide / 2, Fill: fill, Stroke: drawing.Stroke{Width: 0.2, Ink: drawing.Black}},
			drawing.Text{At: at(centres[i], up-0.36*size), Size: size, Bold: true, Anchor: drawing.Middle, Ink: ink, Text: d.number})
	}
	p.items = append(p.items, discs...)
}

// spread moves places, which are in order, as little as it can so that each is a pitch
// from the next and all lie between two ends: neighbours that touch are pooled about
// their mean (the pool-adjacent-violators method of isotonic regression), then all are
// pushed back between the ends. Where there is no room for all at that pitch they share
// the way evenly.
func spread(places []geometry.Length, pitch, from, to geometry.Length) []geometry.Length {
	n := len(places)
	if n > 1 && pitch*geometry.Length(n-1) > to-from {
		pitch = (to - from) / geometry.Length(n-1)
	}
	type pool struct {
		sum geometry.Length // of places less their pitches
		n   int
	}
	mean := func(p pool) geometry.Length { return p.sum / geometry.Length(p.n) }
	var pools []pool
	for i, x := range places {
		pools = append(pools, pool{x - pitch*geometry.Length(i), 1})
		for k := len(pools) - 1; k > 0 && mean(pools[k-1]) > mean(pools[k]); k-- {
			pools[k-1] = pool{pools[k-1].sum + pools[k].sum, pools[k-1].n + pools[k].n}
			pools = pools[:k]
		}
	}
	out := make([]geometry.Length, 0, n)
	for _, p := range pools {
		for range p.n {
			i := geometry.Length(len(out))
			out = append(out, max(from, min(mean(p), to-pitch*geometry.Length(n-1)))+pitch*i)
		}
	}
	return out
}
