package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
)

// drawn are the elements that a picture may be made of: none loads or runs anything.
var drawn = []string{"svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan", "title", "desc", "defs", "clipPath"}

// inline is a picture's SVG as a part of a page, with its names; id is unlike that of any
// other. Namespaces and the size are left out: the page says them.
func inline(p Picture, section, number int) (template.HTML, error) {
	var out bytes.Buffer
	in := xml.NewDecoder(bytes.NewReader(p.SVG))
	depth := 0
	for {
		token, err := in.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", fmt.Errorf("picture %q: %w", p.Name, err)
		}
		switch t := token.(type) {
		case xml.StartElement:
			if !slices.Contains(drawn, t.Name.Local) || t.Name.Space != "" {
				return "", fmt.Errorf("picture %q: has the element %s", p.Name, t.Name.Local)
			}
			fmt.Fprintf(&out, "<%s", t.Name.Local)
			for _, a := range t.Attr {
				if err := writeAttribute(&out, a, depth == 0); err != nil {
					return "", fmt.Errorf("picture %q: %w", p.Name, err)
				}
			}
			if depth == 0 {
				id := fmt.Sprintf("picture-%d-%d", section+1, number+1)
				fmt.Fprintf(&out, ` role="img" aria-labelledby="%s-name %s-say"><title id="%s-name">%s</title><desc id="%s-say">%s</desc>`,
					id, id, id, template.HTMLEscapeString(p.Name), id, template.HTMLEscapeString(p.Say))
			} else {
				out.WriteByte('>')
			}
			depth++
		case xml.EndElement:
			depth--
			fmt.Fprintf(&out, "</%s>", t.Name.Local)
		case xml.CharData:
			if depth > 0 {
				out.WriteString(template.HTMLEscapeString(string(t)))
			}
		}
	}
	if depth != 0 || out.Len() == 0 {
		return "", fmt.Errorf("picture %q: is not whole", p.Name)
	}
	return template.HTML(out.String()), nil
}

// writeAttribute writes what an element says, but for what the page says of the whole.
func writeAttribute(out io.Writer, a xml.Attr, whole bool) error {
	name := a.Name.Local
	if a.Name.Space == "xmlns" || name == "xmlns" || whole && (name == "width" || name == "height") {
		return nil
	}
	if a.Name.Space != "" || strings.HasPrefix(name, "on") || name == "href" || strings.Contains(a.Value, "url(") {
		return fmt.Errorf("has the attribute %s", name)
	}
	_, err := fmt.Fprintf(out, ` %s="%s"`, name, template.HTMLEscapeString(a.Value))
	return err
}
