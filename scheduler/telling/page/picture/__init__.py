"""The picture of the page: hours, work and films over true time, drawn as SVG."""
