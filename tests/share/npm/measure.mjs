// node measure.mjs FILE : what another reader (glTF Transform) finds in a file, as JSON on standard output.
// Per node with triangles, by name: volume by the divergence theorem, directed edges without an opposite after welding
// equal positions, bounds, extras. All in the axes of the file.
import { readFileSync } from "node:fs";
import { NodeIO } from "@gltf-transform/core";
import { KHRMaterialsUnlit, KHRMaterialsVariants } from "@gltf-transform/extensions";

const io = new NodeIO().registerExtensions([KHRMaterialsUnlit, KHRMaterialsVariants]);
const document = await io.readBinary(new Uint8Array(readFileSync(process.argv[2])));
const root = document.getRoot();

function measure(mesh) {
    const ids = new Map();
    const edges = new Map();
    const out = { volume: 0, openEdges: 0, triangles: 0, lines: 0, low: [Infinity, Infinity, Infinity], high: [-Infinity, -Infinity, -Infinity], worstNormal: 1 };
    for (const primitive of mesh.listPrimitives()) {
        const position = primitive.getAttribute("POSITION");
        const index = primitive.getIndices().getArray();
        if (primitive.getMode() === 1) {
            out.lines += index.length / 2;
            continue;
        }
        const at = (i) => position.getElement(i, []);
        const id = (p) => {
            const key = p.join(" ");
            if (!ids.has(key)) ids.set(key, ids.size);
            return ids.get(key);
        };
        for (let i = 0; i < index.length; i += 3) {
            const [a, b, c] = [at(index[i]), at(index[i + 1]), at(index[i + 2])];
            const cross = (u, v) => [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
            const dot = (u, v) => u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
            out.volume += dot(a, cross(b, c)) / 6;
            out.triangles += 1;
            const n = cross(b.map((x, k) => x - a[k]), c.map((x, k) => x - a[k]));
            const length = Math.hypot(...n);
            if (length > 1e-5) out.worstNormal = Math.min(out.worstNormal, dot(n, primitive.getAttribute("NORMAL").getElement(index[i], [])) / length);
            const corners = [id(a), id(b), id(c)];
            for (let k = 0; k < 3; ++k) {
                const [from, to] = [corners[k], corners[(k + 1) % 3]];
                const key = from < to ? `${from} ${to}` : `${to} ${from}`;
                edges.set(key, (edges.get(key) ?? 0) + (from < to ? 1 : -1));
                out.low = out.low.map((x, m) => Math.min(x, [a, b, c][k][m]));
                out.high = out.high.map((x, m) => Math.max(x, [a, b, c][k][m]));
            }
        }
    }
    for (const count of edges.values()) out.openEdges += Math.abs(count);
    return out;
}

const nodes = {};
for (const node of root.listNodes()) {
    const entry = { extras: node.getExtras(), children: node.listChildren().map((c) => c.getName()) };
    if (node.getMesh()) Object.assign(entry, measure(node.getMesh()));
    nodes[node.getName()] = entry;
}
const animations = root.listAnimations().map((a) => ({
    name: a.getName(),
    channels: a.listChannels().map((c) => ({
        node: c.getTargetNode().getName(),
        path: c.getTargetPath(),
        times: [...c.getSampler().getInput().getArray()],
        values: [...c.getSampler().getOutput().getArray()],
    })),
}));
const materials = root.listMaterials().map((m) => ({
    name: m.getName(), doubleSided: m.getDoubleSided(), metallic: m.getMetallicFactor(), alphaMode: m.getAlphaMode(),
    coordinates: m.getBaseColorTextureInfo()?.getTexCoord() ?? null, unlit: m.getExtension("KHR_materials_unlit") !== null,
    image: m.getBaseColorTexture()?.getSize() ?? null,
}));
const variants = root.listExtensionsUsed().filter((e) => e.extensionName === "KHR_materials_variants").length;
const used = root.listExtensionsUsed().map((e) => e.extensionName);
console.log(JSON.stringify({ nodes, animations, materials, variants, extensionsUsed: used, extensionsRequired: root.listExtensionsRequired().map((e) => e.extensionName) }));
