"""How money is divided: places, hours and areas, edges thrown away, floors."""
