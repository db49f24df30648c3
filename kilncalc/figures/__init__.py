"""Pictures: a result of a calculation goes in, a plotly figure comes out; a builder each, no state."""
