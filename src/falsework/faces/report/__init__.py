"""How is a lab shown on paper: the drawings as SVG and the report as one HTML file?"""
