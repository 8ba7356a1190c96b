package trace

import "strings"

// Where says what the names in the node's formula and conditions stand for, "where thick = 2 in"; "" where they need no saying.
func (n *Node) Where() string { return argsText(n) }

// Where says what is called by other names than in the case that was chosen; see Node.Where.
func (p Passed) Where() string { return strings.TrimPrefix(where(p.Args, p.Text), ", ") }

// Where says what is called by other names than in the amendment above; see Node.Where.
func (u Under) Where() string { return strings.TrimPrefix(where(u.Args, u.Text), ", ") }
