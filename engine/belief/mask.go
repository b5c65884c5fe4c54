package belief

import "math/bits"

// Sets as bit masks of several words.

func words(n int) int { return (n + 63) / 64 }

func row(of []uint64, i, words int) []uint64 { return of[i*words : (i+1)*words] }

func set(mask []uint64, i int32) { mask[i>>6] |= 1 << (i & 63) }

func has(mask []uint64, i int32) bool { return mask[i>>6]>>(i&63)&1 == 1 }

func unite(mask, with []uint64) {
	for k := range mask {
		mask[k] |= with[k]
	}
}

func within(mask, in []uint64) bool {
	for k := range mask {
		if mask[k]&^in[k] != 0 {
			return false
		}
	}
	return true
}

func meets(a, b []uint64) bool {
	for k := range a {
		if a[k]&b[k] != 0 {
			return true
		}
	}
	return false
}

func countNew(mask, old []uint64) (n int) {
	for k := range mask {
		n += bits.OnesCount64(mask[k] &^ old[k])
	}
	return n
}
