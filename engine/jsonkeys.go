package engine

// keySet finds the keys that stand in one object twice.
type keySet struct {
	tree  *tree
	count int
	keys  [fewKeys]int32 // as long as they are few
	all   map[string]int32
	marks uint64 // of the keys so far: a key whose mark is not among them is new
}

// fewKeys is up to how many keys are compared one by one: more than most jobs have
// readings.
const fewKeys = 48

// add adds a key unless it is there already; before is the one that is.
func (s *keySet) add(key int, letters []byte) (before int, twice bool) {
	mark := markOf(letters)
	if s.marks&mark != 0 {
		if before, twice = s.find(letters); twice {
			return before, true
		}
	}
	s.marks |= mark
	switch {
	case s.count < fewKeys:
		s.keys[s.count] = int32(key)
	case s.all == nil:
		s.all = make(map[string]int32, 2*fewKeys)
		for _, k := range s.keys {
			s.all[string(s.tree.letters(int(k)))] = k
		}
		fallthrough
	default:
		s.all[string(letters)] = int32(key)
	}
	s.count++
	return 0, false
}

func (s *keySet) find(letters []byte) (key int, ok bool) {
	if s.all != nil {
		k, ok := s.all[string(letters)]
		return int(k), ok
	}
	for _, k := range s.keys[:s.count] {
		if string(s.tree.letters(int(k))) == string(letters) {
			return int(k), true
		}
	}
	return 0, false
}

// markOf is one bit that equal keys share, of 64.
func markOf(letters []byte) uint64 {
	h := uint(len(letters))
	for _, c := range letters {
		h = h*31 + uint(c)
	}
	return 1 << ((h ^ h>>7) % 64)
}
