"""Pictures: a result of a calculation goes in, a plotly figure comes out; one builder per picture, no state."""
