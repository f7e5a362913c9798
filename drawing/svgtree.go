package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

// svgNode is an element of an SVG file.
type svgNode struct {
	name     string
	attrs    map[string]string // by local name
	children []*svgNode
	place    string
}

// maxNodes bounds the elements of an SVG file, drawn ones counted again for
// each use.
const maxNodes = 500_000

// svgNamespace is the namespace of SVG; elements of others are not drawn.
const svgNamespace = "http://www.w3.org/2000/svg"

// parseTree reads the elements. Document types with declarations of their own
// are refused: entities can blow up to any size.
func parseTree(data []byte) (*svgNode, error) {
	dec := xml.NewDecoder(bytes.NewReader(data))
	var stack []*svgNode
	var root *svgNode
	for n := 0; ; {
		tok, err := dec.Token()
		line, _ := dec.InputPos()
		place := fmt.Sprintf("line %d", line)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, &Error{Place: place, What: "this is not well-formed SVG: " + strings.TrimPrefix(err.Error(), "XML syntax "), Remedy: "export the drawing again"}
		}
		switch t := tok.(type) {
		case xml.Directive:
			if bytes.ContainsRune(t, '[') || bytes.Contains(t, []byte("ENTITY")) {
				return nil, &Error{Place: place, What: "the file declares entities of its own, which are not read", Remedy: "export as plain SVG"}
			}
		case xml.StartElement:
			if n++; n > maxNodes || len(stack) > maxDepth*8 {
				return nil, &Error{Place: place, What: "the file has too many elements, or too deep ones", Remedy: "export the part's outline alone"}
			}
			node := newNode(t, place)
			if len(stack) > 0 {
				top := stack[len(stack)-1]
				top.children = append(top.children, node)
			} else if root == nil {
				root = node
			}
			stack = append(stack, node)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		}
	}
	if root == nil || root.name != "svg" {
		return nil, &Error{What: "this is not an SVG file", Remedy: "export the drawing as SVG"}
	}
	return root, nil
}

func newNode(t xml.StartElement, place string) *svgNode {
	node := &svgNode{name: t.Name.Local, attrs: map[string]string{}, place: place}
	if t.Name.Space != "" && t.Name.Space != svgNamespace {
		node.name = t.Name.Space + " " + t.Name.Local
	}
	for _, a := range t.Attr {
		if a.Name.Space == "" || a.Name.Local == "href" {
			node.attrs[a.Name.Local] = a.Value
		}
	}
	return node
}

// hidden reports whether the element is not shown.
func (n *svgNode) hidden() bool {
	return n.style("display") == "none" || n.style("visibility") == "hidden" || n.style("visibility") == "collapse"
}

// style returns a property from the style attribute or the one of its name.
func (n *svgNode) style(property string) string {
	for _, rule := range strings.Split(n.attrs["style"], ";") {
		name, value, _ := strings.Cut(rule, ":")
		if strings.TrimSpace(name) == property {
			return strings.TrimSpace(value)
		}
	}
	return strings.TrimSpace(n.attrs[property])
}

// index finds the elements by their id.
func (n *svgNode) index(ids map[string]*svgNode) {
	if id := n.attrs["id"]; id != "" && ids[id] == nil {
		ids[id] = n
	}
	for _, c := range n.children {
		c.index(ids)
	}
}
