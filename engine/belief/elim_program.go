package belief

// program is the list of operations that answers every problem of one structure. It
// holds no numbers of the problem, and is not changed once made.
type program struct {
	ops []operation
	// index has the lists of the operations, in short where all of it fits.
	short  []uint16
	long   []uint32
	size   int     // numbers in all tables together
	live   int     // most slots of a table
	work   float64 // products of a pass
	roots  []int32 // places of the factors of P(evidence)
	joints []int32 // in the order in which nodes that they couple go
}

type operationKind uint8

const (
	opFault    operationKind = iota // fill the table of a mover
	opBit                           // fill the table of a slot's own bits
	opWeights                       // copy a node's weights
	opJoint                         // fill the table of a joint
	opWiden                         // give slots of a table a third setting, either
	opMultiply                      // combine two tables
	opSumOut                        // combine a table with weights and sum a node out
)

// operation fills the table y. Two tables x and f combine by adding products
// y[i] += x[j] f[k] in passes; each goes through blocks, and each block through a run of
// numbers, so that a few lists of offsets stand for all of i, j and k.
type operation struct {
	kind operationKind
	how  runWay // how x and f go through a run
	// wantsX and wantsF say whether the derivative by a table is asked for: whether
	// the presence of a fault, or what a question for values asks, has gone into it.
	wantsX, wantsF     bool
	id                 int32 // mover, slot, node or joint
	y, x, f            int32 // places of the tables
	size, sizeX, sizeF int32 // their numbers
	run                int32 // length of a run
	// In the program's index: passes, and inner and outer blocks, each as offsets for y,
	// x and f; of opFault, in place of passes and blocks, how many arcs and slots it has,
	// with the arcs' places among the slots, then the slots.
	at                   int32
	passes, inner, outer int32
}

// list is the index of a program, short or long.
type list interface{ uint16 | uint32 }

type runWay uint8

const (
	runBoth runWay = iota // both go along
	runX                  // f stays
	runF                  // x stays
)

// numbers returns how many 32-bit numbers a program takes, about.
func (p *program) numbers() int {
	return len(p.short)/2 + len(p.long) + 14*len(p.ops) + len(p.joints)
}
