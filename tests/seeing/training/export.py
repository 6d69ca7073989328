"""A network as ONNX (opset 13), batch normalisation folded into the convolutions, weights in 16 bits, and a check that it still says the same."""
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


def halve(path):
    """Stores the weights of an ONNX file in 16 bits, each cast to 32 where it is used: half the bytes, the same sums."""
    model = onnx.load(str(path))
    kept, casts = [], []
    for tensor in model.graph.initializer:
        values = numpy_helper.to_array(tensor)
        if values.dtype != np.float32 or values.ndim < 4:
            kept.append(tensor)
            continue
        kept.append(numpy_helper.from_array(values.astype(np.float16), tensor.name + '_half'))
        casts.append(onnx.helper.make_node('Cast', [tensor.name + '_half'], [tensor.name], to=onnx.TensorProto.FLOAT))
    nodes = list(model.graph.node)
    del model.graph.initializer[:], model.graph.node[:]
    model.graph.initializer.extend(kept)
    model.graph.node.extend(casts + nodes)
    onnx.checker.check_model(model)
    onnx.save(model, str(path))


def write_onnx(network, recipe, path):
    plain = folded(network)
    for weights in plain.parameters():
        if weights.dim() == 4:
            weights.data = weights.half().float()  # as they are stored
    x = torch.rand(1, 3, recipe.rows, 256)
    options = {'dynamo': False} if 'dynamo' in inspect.signature(torch.onnx.export).parameters else {}
    torch.onnx.export(
        plain, x, str(path), opset_version=13, input_names=['picture'], output_names=['seen'],
        dynamic_axes={'picture': {3: 'columns'}, 'seen': {3: 'columns'}}, **options,
    )
    halve(path)
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
