"""Draws the pictures of the demo's story: sketches, no photographs. Run it in this folder to draw them anew."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

INK, PAPER, MARK = (40, 40, 40), (247, 244, 235), (190, 60, 20)


def gearbox_feet() -> Image.Image:
    """The gearbox from above, its feet numbered, the one that stood off its platform ringed."""
    image = Image.new("RGB", (640, 480), PAPER)
    draw = ImageDraw.Draw(image)
    draw.rounded_rectangle((150, 110, 490, 380), radius=28, outline=INK, width=4)
    draw.ellipse((250, 190, 350, 290), outline=INK, width=3)
    draw.line((320, 40, 320, 90), fill=INK, width=3)
    draw.polygon(((320, 24), (310, 46), (330, 46)), fill=INK)
    draw.text((334, 30), "front", fill=INK, font_size=20)
    for number, (x, y) in enumerate(((140, 100), (500, 100), (500, 390), (140, 390)), start=1):
        draw.ellipse((x - 26, y - 26, x + 26, y + 26), fill=PAPER, outline=INK, width=4)
        draw.text((x, y), str(number), fill=INK, font_size=26, anchor="mm")
    draw.ellipse((96, 56, 184, 144), outline=MARK, width=6)
    draw.text((60, 24), "0.28 mm", fill=MARK, font_size=22)
    return image


def bearing_housing() -> Image.Image:
    """The mainshaft bearing housing with the centre-punch marks of a previous owner."""
    import math

    image = Image.new("RGB", (640, 480), PAPER)
    draw = ImageDraw.Draw(image)
    draw.rounded_rectangle((90, 40, 550, 440), radius=40, outline=INK, width=4)
    draw.ellipse((180, 100, 460, 380), outline=INK, width=5)
    for i in range(40):
        angle = 2 * math.pi * i / 40 + 0.03 * math.sin(5 * i)
        x, y = 320 + 133 * math.cos(angle), 240 + 133 * math.sin(angle)
        draw.ellipse((x - 4, y - 4, x + 4, y + 4), fill=MARK)
    draw.text((320, 240), "52 mm", fill=INK, font_size=28, anchor="mm")
    return image


def crates() -> Image.Image:
    """The three crates that the machine came in, each with its label and what is in it."""
    image = Image.new("RGB", (640, 360), PAPER)
    draw = ImageDraw.Draw(image)
    held = (("A", ("engine", "barrels off", "one stud short")), ("B", ("gearbox", "clutch", "a bag of nuts")),
            ("C", ("lamps, loom", "stator, damp", "no regulator")))  # fmt: skip
    for number, (label, lines) in enumerate(held):
        x = 24 + 204 * number
        draw.rectangle((x, 90, x + 184, 320), outline=INK, width=4)
        for y in (146, 202, 258):
            draw.line((x, y, x + 184, y), fill=INK, width=1)
        draw.rectangle((x + 62, 30, x + 122, 78), fill=PAPER, outline=MARK, width=4)
        draw.text((x + 92, 54), label, fill=MARK, font_size=32, anchor="mm")
        for row, line in enumerate(lines):
            draw.text((x + 92, 118 + 56 * row), line, fill=INK, font_size=20, anchor="mm")
    return image


if __name__ == "__main__":
    here = Path(__file__).parent
    for picture in (gearbox_feet, bearing_housing, crates):
        picture().save(here / f"{picture.__name__}.png", optimize=True)
