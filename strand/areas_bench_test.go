package strand

import "testing"

func BenchmarkAreas(b *testing.B) {
	r, m := holed(100, 40, 6, 96, 24)
	pr := lay(b, layupOf(r, m, 1, around(6), 1), Settings{})
	for b.Loop() {
		pr.Areas(&pr.Layers[0])
	}
}
