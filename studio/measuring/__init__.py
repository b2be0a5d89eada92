"""What the tool costs in time and bytes, and how it looks: measured and photographed on a demo that is thrown away."""
