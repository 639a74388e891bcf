"""Small drawn pictures that stand where an auditor's or a crew's photographs would be."""

import io
import textwrap

from PIL import Image, ImageDraw, ImageFont

WIDTH_PX, HEIGHT_PX = 640, 420
GROUND, INK, RULE, LABEL = "#f7f5ef", "#23282b", "#1f5a4c", "Demo picture, not a photograph"
JPEG_QUALITY = 80


def picture(words: str, *, below: str = "") -> io.BytesIO:
    """A JPEG that says what would be seen, and that it is no photograph."""
    image = Image.new("RGB", (WIDTH_PX, HEIGHT_PX), GROUND)
    draw = ImageDraw.Draw(image)
    draw.rectangle((12, 12, WIDTH_PX - 13, HEIGHT_PX - 13), outline=INK, width=2)
    # Studs and a plate: enough of a drawing to tell one picture from an empty frame.
    for x in range(60, WIDTH_PX - 40, 74):
        draw.line((x, 36, x, 190), fill=RULE, width=3)
    draw.line((36, 36, WIDTH_PX - 37, 36), fill=RULE, width=5)
    draw.line((36, 190, WIDTH_PX - 37, 190), fill=RULE, width=5)
    large, small = ImageFont.load_default(size=26), ImageFont.load_default(size=18)
    draw.multiline_text(
        (40, 216), "\n".join(textwrap.wrap(words, 42)[:4]), font=large, fill=INK, spacing=6
    )
    if below:
        draw.text((40, 338), below[:60], font=small, fill=INK)
    draw.text((40, 370), LABEL, font=small, fill=RULE)
    content = io.BytesIO()
    image.save(content, "JPEG", quality=JPEG_QUALITY)
    content.seek(0)
    return content
