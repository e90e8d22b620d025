"""Parts of a paper gathered from outcomes, the timeline and the manifest: one file per part."""
