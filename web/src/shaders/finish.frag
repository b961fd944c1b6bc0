// Smooths the outlines of faces: stripes are smooth already, but a triangle's border is not.
//
// Morphological antialiasing (Reshetov, HPG 2009) on face codes, which change only at such borders:
// a stair of the border is replaced by the straight line through its steps' middles.
uniform highp usampler2D normals;
uniform sampler2D painted;

out vec4 colour;

// Steps of a stair longer than this many pixels stay; longer searches cost time on every border pixel.
const int REACH = 8;

uint code(ivec2 at) {
    return texelFetch(normals, clamp(at, ivec2(0), textureSize(normals, 0) - 1), 0).w;
}

// With its share of the pixel, by which the colour is multiplied already.
vec4 paint(ivec2 at) {
    return texelFetch(painted, clamp(at, ivec2(0), textureSize(normals, 0) - 1), 0);
}

// Distance to the end of the border along `way`, and where it goes there: −1 into our row, +1 away, 0 on.
vec2 end_of(ivec2 at, ivec2 way, ivec2 over, uint own) {
    for (int i = 1; i <= REACH; i++) {
        ivec2 p = at + way * i;
        if (code(p) != own) { return vec2(float(i), -1.0); }
        if (code(p + over) == own) { return vec2(float(i), 1.0); }
    }
    return vec2(float(REACH), 0.0);
}

// Share of this pixel that belongs to the neighbour at `over`.
float share_of(ivec2 at, ivec2 over, uint own) {
    if (code(at + over) == own) { return 0.0; }
    ivec2 way = ivec2(over.y, over.x);
    vec2 a = end_of(at, way, over, own);
    vec2 b = end_of(at, -way, over, own);
    float size = a.x + b.x - 1.0;
    // The line's height over the border in pixels, from the nearer ends at −½ or ½ to the other.
    float low = b.y * 0.5;
    float high = a.y * 0.5;
    float t = (b.x - 0.5) / size;
    float height = b.y * a.y > 0.0 ? low * abs(1.0 - 2.0 * t) : mix(low, high, t);
    return clamp(-height, 0.0, 0.5);
}

void main() {
    ivec2 at = ivec2(gl_FragCoord.xy);
    uint own = code(at);
    vec4 here = paint(at);
    // Nearly every pixel: said first, as software devices pay for what follows otherwise.
    if (code(at + ivec2(1, 0)) == own && code(at - ivec2(1, 0)) == own && code(at + ivec2(0, 1)) == own && code(at - ivec2(0, 1)) == own) {
        colour = here;
        return;
    }
    vec4 sum = here;
    float rest = 1.0;
    const ivec2 OVER[4] = ivec2[4](ivec2(1, 0), ivec2(-1, 0), ivec2(0, 1), ivec2(0, -1));
    for (int i = 0; i < 4; i++) {
        float share = min(share_of(at, OVER[i], own), rest);
        rest -= share;
        sum += share * (paint(at + OVER[i]) - here);
    }
    colour = sum;
}
