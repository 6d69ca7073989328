"""A network as ONNX (opset 13), batch normalisation folded into the convolutions, weights in 8 bits, and a check that it still says the same."""
import copy
import inspect

import numpy as np
import onnx
import torch
from onnx import numpy_helper
from torch.nn.utils.fusion import fuse_conv_bn_eval


def folded(network):
    """The network with each batch normalisation drawn into the convolution before it."""
    network = copy.deepcopy(network).cpu().float().eval()
    for module in network.modules():
        if isinstance(module, torch.nn.Sequential) and len(module) > 1 and isinstance(module[1], torch.nn.BatchNorm2d):
            module[0] = fuse_conv_bn_eval(module[0], module[1])
            module[1] = torch.nn.Identity()
    return network


def scales_of(weights):
    """One number for each output channel: what a step of 8 bits is worth."""
    return np.maximum(np.abs(weights).reshape(len(weights), -1).max(1), 1e-12) / 127


def rounded(weights):
    """Weights as they are stored: whole numbers of 8 bits times a scale of each output channel (Jacob et al. 2018); in 16 bits where a channel has few."""
    if weights.shape[1] == 1:
        return weights.astype(np.float16).astype(np.float32)
    scales = scales_of(weights).astype(np.float32)[:, None, None, None]
    return np.round(weights / scales) * scales


def pack(path):
    """Stores the (rounded) weights of an ONNX file in 8 or 16 bits, each made floats of 32 where it is used."""
    model = onnx.load(str(path))
    kept, unpacking = [], []
    for tensor in model.graph.initializer:
        values, name = numpy_helper.to_array(tensor), tensor.name
        if values.dtype != np.float32 or values.ndim < 4:
            kept.append(tensor)
        elif values.shape[1] == 1:
            kept.append(numpy_helper.from_array(values.astype(np.float16), name + '_half'))
            unpacking.append(onnx.helper.make_node('Cast', [name + '_half'], [name], to=onnx.TensorProto.FLOAT))
        else:
            scales = scales_of(values).astype(np.float32)
            steps = np.round(values / scales[:, None, None, None]).astype(np.int8)
            parts = {'_steps': steps, '_scale': scales, '_zero': np.zeros(len(scales), np.int8)}
            kept += [numpy_helper.from_array(part, name + ending) for ending, part in parts.items()]
            unpacking.append(onnx.helper.make_node('DequantizeLinear', [name + ending for ending in parts], [name], axis=0))
    nodes = list(model.graph.node)
    del model.graph.initializer[:], model.graph.node[:]
    model.graph.initializer.extend(kept)
    model.graph.node.extend(unpacking + nodes)
    name_short(model)
    onnx.checker.check_model(model)
    onnx.save(model, str(path))


def name_short(model):
    """Numbers for names, in place: the exporter's are a twentieth of a small file."""
    graph, numbers = model.graph, {}
    kept = {'', *(value.name for value in [*graph.input, *graph.output])}

    def short(name):
        return name if name in kept else numbers.setdefault(name, format(len(numbers), 'x'))
    for tensor in graph.initializer:
        tensor.name = short(tensor.name)
    for node in graph.node:
        node.input[:], node.output[:] = [short(name) for name in node.input], [short(name) for name in node.output]
        node.name = ''
    del graph.value_info[:]


def write_onnx(network, recipe, path):
    plain = folded(network)
    for weights in plain.parameters():
        if weights.dim() == 4:
            weights.data = torch.from_numpy(rounded(weights.data.numpy()))
    x = torch.rand(1, 3, recipe.rows, 256)
    options = {'dynamo': False} if 'dynamo' in inspect.signature(torch.onnx.export).parameters else {}
    torch.onnx.export(
        plain, x, str(path), opset_version=13, input_names=['picture'], output_names=['seen'],
        dynamic_axes={'picture': {3: 'columns'}, 'seen': {3: 'columns'}}, **options,
    )
    pack(path)
    try:
        import onnxruntime
    except ImportError:
        print('onnxruntime is not here: the file was not compared')
        return
    session = onnxruntime.InferenceSession(str(path), providers=['CPUExecutionProvider'])
    wide = torch.rand(1, 3, recipe.rows, 512)
    with torch.no_grad():
        ours = plain(wide).numpy()
    theirs = session.run(None, {'picture': wide.numpy()})[0]
    worst = float(np.abs(ours - theirs).max())
    print(f'{path.name}: {path.stat().st_size} bytes, onnxruntime differs by {worst:.2e} at most')
    if worst > 1e-3:
        raise SystemExit('the exported network does not say the same')
