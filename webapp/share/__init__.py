"""Share: plans on this device, links, files, print, price lists, the club."""
