package strand

// sharpShare of the tow's least radius: below it the tow does not lie at all
// (common practice), above it the strand is laid and the bend reported.
const sharpShare = 0.5

// sharpRounds bounds the rounds; each takes one bend out of every strand that
// has one, and hairpins have two.
const sharpRounds = 8

// unbend takes out of the strands what bends too sharply to be laid. What is
// left and too short goes too: the hairpins of a pocket between holes vanish
// and leave plastic.
func (m *layer) unbend(strands []Strand, dropped *Layer) []Strand {
	for range sharpRounds {
		sharp := m.sharp(strands)
		if len(sharp) == 0 {
			break
		}
		strands = m.open(strands, sharp, dropped)
	}
	return strands
}

// sharp returns the first sharp stretch of each strand that has one, widened
// by a point on either side so that what is left does not start in the bend.
func (m *layer) sharp(strands []Strand) []stretch {
	limit := sharpShare * m.limits.radius
	var out []stretch
	for i := range strands {
		if m.given(&strands[i]) {
			continue
		}
		radii := strands[i].Radii()
		for k := 0; k < len(radii); k++ {
			if radii[k] >= limit {
				continue
			}
			s := stretch{strand: i, from: max(k-1, 0), to: k}
			for s.to+1 < len(radii) && radii[s.to] < limit {
				s.to++
			}
			out = append(out, s)
			break
		}
	}
	return out
}
